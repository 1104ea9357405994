//go:build !js

package score_test

import (
	"database/sql"
	"fmt"
	"math/rand/v2"
	"testing"

	_ "modernc.org/sqlite" // the database the package is checked against

	"keelcard/engine/points"
	"keelcard/engine/score"
)

// The contest as tables, with one row a mark, and scored by SQL alone.
const schema = `
create table earns(class int, slot int, mark int, points int, primary key(class, slot, mark)) without rowid;
create table person(id integer primary key, team int, division int, ranked int, penalty int, alternate int);
create table mark(person int, class int, slot int, mark int, primary key(person, class, slot)) without rowid;
create table part(class int, slot int, part int, rule text, primary key(class, slot)) without rowid;
`

// The points of a class: its marks added up; or by groups, of which the mean of
// those with a mark is rounded to whole points, or those without fault count.
const (
	summing = `
create temp table classed as
  select person, class, sum(points) as points from mark join earns using (class, slot, mark) group by person, class;
`
	joining = `
create temp table classed as
  with parts as (
    select person, class, rule, sum(points) as points, max(mark <> 0) as marked, min(points = 1000) as full
    from mark join earns using (class, slot, mark) join part using (class, slot) group by person, class, part, rule)
  select person, class, case rule
    when 'mean' then coalesce(100 * cast(round(avg(points) filter (where marked) / 100) as int), 0)
    when 'whole' then coalesce(sum(points) filter (where full), 0)
    else sum(points) end as points
  from parts group by person, class, rule;
`
)

// ranking is the statement for totals, tie-breaks and ranks. %s are the sums
// of the tie-breaks and the order by them.
const ranking = `
create temp table summed as
  select id, team, division, ranked, alternate, max(0, coalesce(sum(points), 0) - penalty) as total %s
  from person left join classed on person = id group by id;
create temp table ranked as
  select id, total, team, rank() over (order by total desc %[2]s) as rank,
    rank() over (partition by division order by total desc %[2]s) as division_rank,
    alternate, row_number() over (partition by team, alternate order by total desc %[2]s, id) as nth %[3]s
  from summed where ranked;
create temp table teamed as
  select team, sum(total) as total %[4]s from ranked where team >= 0 and not alternate and nth <= %[5]d group by team having count(*) = %[5]d;
create temp table team_ranked as
  select team, total, rank() over (order by total desc %[2]s) as rank from teamed;
create temp table item as
  select class, slot, mark, count(*) as cards from mark group by class, slot, mark;
`

func statement(ties []score.Tie, best int) string {
	var sums, order, names, teamSums string
	for i, tie := range ties {
		in := ""
		for k, c := range tie.Classes {
			if k > 0 {
				in += ","
			}
			in += fmt.Sprint(c)
		}
		sums += fmt.Sprintf(", coalesce(sum(points) filter (where class in (%s)), 0) as tie%d", in, i)
		order += fmt.Sprintf(", tie%d desc", i)
		names += fmt.Sprintf(", tie%d", i)
		teamSums += fmt.Sprintf(", sum(tie%d) as tie%d", i, i)
	}
	return fmt.Sprintf(ranking, sums, order, names, teamSums, best)
}

const cleanup = `drop table if exists classed; drop table if exists summed; drop table if exists ranked;
drop table if exists teamed; drop table if exists team_ranked; drop table if exists item;`

func openDB(tb testing.TB) *sql.DB {
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		tb.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	tb.Cleanup(func() { db.Close() })
	if _, err := db.Exec(schema); err != nil {
		tb.Fatal(err)
	}
	return db
}

// load fills the tables. earns tells what a mark byte earns, in hundredths.
func load(tb testing.TB, db *sql.DB, s *score.Sheet, earns func(class, slot, mark int) int) {
	tx, err := db.Begin()
	if err != nil {
		tb.Fatal(err)
	}
	defer tx.Rollback()
	insert := func(query string) func(args ...any) {
		stmt, err := tx.Prepare(query)
		if err != nil {
			tb.Fatal(err)
		}
		return func(args ...any) {
			if _, err := stmt.Exec(args...); err != nil {
				tb.Fatal(err)
			}
		}
	}
	for _, table := range []string{"earns", "person", "mark", "part"} {
		insert("delete from " + table)()
	}
	person := insert("insert into person values (?, ?, ?, ?, ?, ?)")
	mark := insert("insert into mark values (?, ?, ?, ?)")
	earn := insert("insert into earns values (?, ?, ?, ?)")
	part := insert("insert into part values (?, ?, ?, ?)")
	for p := range s.Persons {
		person(p, s.Team[p], s.Division[p], s.Unranked == nil || !s.Unranked[p], penaltyOf(s, p), s.Alternate != nil && s.Alternate[p])
		for c, class := range s.Classes {
			if class.Has != nil && !class.Has[p] {
				continue
			}
			slots := len(class.Table.Slots)
			for slot, m := range class.Marks[p*slots : (p+1)*slots] {
				mark(p, c, slot, m)
			}
		}
	}
	for c, class := range s.Classes {
		for slot := range class.Table.Slots {
			part(c, slot, slot*max(class.Table.Groups, 1)/len(class.Table.Slots), string(class.Table.Join))
			for m := range 256 {
				if class.Table.Allowed(byte(m)) {
					earn(c, slot, m, earns(c, slot, m))
				}
			}
		}
	}
	if err := tx.Commit(); err != nil {
		tb.Fatal(err)
	}
}

func penaltyOf(s *score.Sheet, p int) int {
	if s.Penalty == nil {
		return 0
	}
	return int(s.Penalty[p])
}

func TestAgainstSQLite(t *testing.T) {
	contests := 300
	if testing.Short() {
		contests = 30
	}
	db := openDB(t)
	for seed := range contests {
		p := randomPaper(rand.New(rand.NewPCG(uint64(seed), 11)))
		var ties []score.Tie
		for _, tie := range p.ties {
			if !tie.Alternate { // the rule of the alternate is checked in the plain way
				ties = append(ties, tie)
			}
		}
		p.ties = ties
		s := p.sheet(t)
		r, err := score.Compute(s)
		if err != nil {
			t.Fatal(err)
		}
		// What a mark earns comes from the rule as published, not from the tables.
		load(t, db, &s, func(class, slot, mark int) int {
			return 100 * p.classes[class].mark(slot, markName(&p.classes[class], byte(mark)))
		})
		if _, err := db.Exec(joining + statement(p.ties, p.best)); err != nil {
			t.Fatal(err)
		}
		checkSQL(t, db, p, r, seed)
		if _, err := db.Exec(cleanup); err != nil {
			t.Fatal(err)
		}
	}
}

// markName is the way back from a mark byte to paper.
func markName(class *paperClass, mark byte) string {
	switch {
	case mark == score.Blank:
		return "-"
	case mark < score.Double:
		return class.answers()[mark-1]
	}
	name := ""
	for _, a := range score.DoubleAnswers(mark) {
		if name != "" {
			name += "+"
		}
		name += class.answers()[a-1]
	}
	if name == "" {
		return "?"
	}
	return name
}

func checkSQL(t *testing.T, db *sql.DB, p *paper, r *score.Result, seed int) {
	t.Helper()
	ranked, teams, cards := 0, 0, 0
	query(t, db, "select id, total, rank, case when division < 0 then 0 else division_rank end from ranked join summed using (id, total)", func(v []int) {
		ranked++
		if r.Total(v[0]) != points.Points(v[1]) || int(r.Rank[v[0]]) != v[2] || int(r.DivisionRank[v[0]]) != v[3] {
			t.Fatalf("contest %d person %d: %v, ranks %d, %d, SQL has %v", seed, v[0], r.Total(v[0]), r.Rank[v[0]], r.DivisionRank[v[0]], v[1:])
		}
	})
	query(t, db, "select team, total, rank from team_ranked", func(v []int) {
		teams++
		if team := r.Teams[v[0]]; team.Total != points.Points(v[1]) || int(team.Rank) != v[2] {
			t.Fatalf("contest %d team %d: %v, rank %d, SQL has %v", seed, v[0], team.Total, team.Rank, v[1:])
		}
	})
	query(t, db, "select class, slot, mark, cards from item", func(v []int) {
		cards += v[3]
		if got := r.Items[v[0]][v[1]].Marks[v[2]]; int(got) != v[3] {
			t.Fatalf("contest %d class %d slot %d mark %d: %d cards, SQL has %d", seed, v[0], v[1], v[2], got, v[3])
		}
	})
	counted := 0
	for _, items := range r.Items {
		for _, item := range items {
			counted += item.Cards
		}
	}
	if ranked != len(r.Order) || teams != len(r.TeamOrder) || cards != counted {
		t.Fatalf("contest %d: SQL ranks %d of %d persons, %d of %d teams, counts %d of %d marks", seed, ranked, len(r.Order), teams, len(r.TeamOrder), cards, counted)
	}
}

func query(t *testing.T, db *sql.DB, text string, row func([]int)) {
	t.Helper()
	rows, err := db.Query(text)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		t.Fatal(err)
	}
	values, into := make([]int, len(columns)), make([]any, len(columns))
	for i := range values {
		into[i] = &values[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			t.Fatal(err)
		}
		row(values)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
}
