package app

import (
	"crypto/ed25519"
	"encoding/hex"
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
)

// The store keeps every record once, under the name by which merge.State knows
// it: the phone, or where the logs of a phone part, the segment. The head of the
// contest tells of each log which segments it runs through.

// readContest rebuilds a contest from its stored records.
func readContest(h Head, entries []Entry) (*Open, error) {
	id, err := record.ParseContestID(h.ID)
	if err != nil {
		return nil, err
	}
	runs, err := readRuns(entries)
	if err != nil {
		return nil, err
	}
	set := record.Set{Contest: id}
	known := map[string]bool{}
	for _, p := range h.Phones {
		log, err := readLog(id, p, runs, known)
		if err != nil {
			return nil, err
		}
		set.Logs = append(set.Logs, log)
	}
	for _, e := range entries {
		if !known[runOf(e.Key)] {
			return nil, damaged("record "+e.Key, "it is stored in a form that does not belong here")
		}
	}
	sorting.Stable(set.Logs, func(a, b record.Log) int { return comparePhones(a.Phone, b.Phone) })
	open := &Open{Head: h, Set: set}
	open.fold()
	return open, nil
}

// readLog puts a log together from the runs of records it goes through.
func readLog(id record.ContestID, p PhoneHead, runs map[string][]record.Record, known map[string]bool) (record.Log, error) {
	if record.PhoneOf(p.Public) != p.Phone || len(p.Public) != ed25519.PublicKeySize {
		return record.Log{}, damaged("phone "+p.Phone.String(), "what is stored about it is damaged")
	}
	log := record.NewLog(id, p.Public)
	for _, run := range append([]string{hex.EncodeToString(p.Phone[:])}, p.Path...) {
		known[run] = true
		for _, r := range runs[run] {
			if err := log.Append(r); err != nil {
				return record.Log{}, err
			}
		}
	}
	if p.Count == log.Last() {
		log.Sig = p.Sig
	}
	return log, nil
}

// readRuns reads stored records, by the part of the key that names their run.
func readRuns(entries []Entry) (map[string][]record.Record, error) {
	runs := map[string][]record.Record{}
	for _, e := range entries {
		r, rest, err := record.Decode(e.Value)
		if err != nil {
			return nil, err
		}
		if len(rest) > 0 {
			return nil, damaged("record "+e.Key, "it is stored in a form that does not belong here")
		}
		run := runOf(e.Key)
		runs[run] = append(runs[run], r)
	}
	return runs, nil
}

func runOf(key string) string {
	_, rest, _ := strings.Cut(key, "/")
	run, _, _ := strings.Cut(rest, "/")
	return run
}

func damaged(where, what string) error {
	return engine.New("app.stored", where, what, "take the contest in again from another phone's file")
}

// phoneHeads keeps the key and signature of every log, and its way.
func phoneHeads(set record.Set) []PhoneHead {
	out := make([]PhoneHead, 0, len(set.Logs))
	for logs := range set.Phones {
		for i, l := range logs {
			out = append(out, PhoneHead{Phone: l.Phone, Public: l.Public, Count: l.Last(), Sig: l.Sig, Path: segmentsOf(set.Contest, logs, i)})
		}
	}
	return out
}

// segmentsOf names the segments that a log runs through after what all logs of its
// phone begin with.
func segmentsOf(contest record.ContestID, logs []record.Log, log int) (names []string) {
	if len(logs) == 1 {
		return nil
	}
	t := record.NewTree(contest, logs...)
	segs := t.Segments()
	at := slices.IndexFunc(segs, func(s record.Segment) bool { return s.Log == log && !s.Parts })
	for ; segs[at].Parent >= 0; at = segs[at].Parent {
		names = append(names, hex.EncodeToString(segs[at].ID[:]))
	}
	slices.Reverse(names)
	return names
}

// keep gives the changes of the store that lead from the records before to those
// after: what is new, and what has another name since logs part there.
func keep(contest string, before, after *merge.State) []Op {
	return append(renamed(contest, before, after), added(contest, before, after)...)
}

// renamed takes records away from names that they have no more.
func renamed(contest string, before, after *merge.State) (ops []Op) {
	for _, run := range before.Runs() {
		for i := range run.Records {
			ref := record.Ref{Phone: run.ID, Seq: run.After + uint32(i) + 1}
			if _, ok := after.Record(ref); !ok {
				ops = append(ops, Op{Bucket: BucketRecord, Key: RecordKey(contest, ref)})
			}
		}
	}
	return ops
}

// added puts records under names that were not there.
func added(contest string, before, after *merge.State) (ops []Op) {
	for _, run := range after.Runs() {
		for i := range run.Records {
			ref := record.Ref{Phone: run.ID, Seq: run.After + uint32(i) + 1}
			if _, ok := before.Record(ref); !ok {
				ops = append(ops, Op{BucketRecord, RecordKey(contest, ref), run.Records[i].Encode(nil)})
			}
		}
	}
	return ops
}

// mine tells whether a phone is this one, now or under a key it had before.
func (s *State) mine(id record.PhoneID) bool {
	return id == s.Phone.ID || slices.ContainsFunc(s.Phone.Former, func(k Key) bool { return k.id() == id })
}

// id is the phone that had the key.
func (k Key) id() record.PhoneID {
	public, _ := hex.DecodeString(k.Public)
	return record.PhoneOf(public)
}

// setBack tells whether records of this phone came back to it: it was restored
// from a copy, or a copy of it writes elsewhere, or the contest was taken off it.
// Which numbers are given to records that are nowhere here cannot be known.
func (s *State) setBack(report merge.Report, after *Open) bool {
	for _, ref := range report.New {
		if r, ok := after.Contest.State().Record(ref); ok && r.Phone == s.Phone.ID {
			return true
		}
	}
	own := uint32(0)
	if log := after.Own(s.Phone.ID); log != nil {
		own = log.Last()
	}
	for _, p := range phones(after.Contest.State().Runs()) {
		if h, ok := after.Holding(p); ok && h.Holds[s.Phone.ID.String()] > own {
			return true
		}
	}
	return false
}

// renew gives this phone a new key, under which it goes on. What it wrote under
// the old one stays, and can still be signed.
func (s *State) renew(m Msg) ([]Op, error) {
	if len(m.Rand) < ed25519.SeedSize {
		return nil, engine.New("app.phone", "", "no new key could be made for this phone", "reload the page and try again")
	}
	s.Phone.Former = append(s.Phone.Former, Key{Seed: s.Phone.Seed, Public: s.Phone.Public})
	s.Phone.Seed, s.Phone.Public = hex.EncodeToString(m.Rand[:ed25519.SeedSize]), ""
	if err := s.identify(); err != nil {
		return nil, err
	}
	return []Op{s.phoneOp()}, nil
}

// signLogs signs each log of this phone that is not signed as it stands.
func (s *State) signLogs() error { return s.signIn(s.Open) }

// signIn is signLogs in a contest that need not be the open one.
func (s *State) signIn(o *Open) error {
	for i := range o.Set.Logs {
		l := &o.Set.Logs[i]
		if len(l.Sig) > 0 || !s.mine(l.Phone) {
			continue
		}
		seed := s.Phone.Seed
		for _, k := range s.Phone.Former {
			if k.id() == l.Phone {
				seed = k.Seed
			}
		}
		private, err := signingKey(seed)
		if err != nil {
			return err
		}
		if err := record.Sign(o.Set.Contest, l, private); err != nil {
			return err
		}
	}
	return nil
}
