package view

import (
	"slices"

	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// sealedCard says that official answers are sealed to this phone, and what to do.
func sealedCard(s *app.State, more ...m.Part) m.Node {
	text, fix := words.T("seal.part"), words.T("seal.part-fix")
	if s.Sealed() {
		text, fix = words.T("seal.phone"), words.T("seal.phone-fix")
	}
	return parts.Card("sealed", words.T("seal.title"),
		parts.Para(text),
		m.Group(more...),
		parts.Para(fix, "soft"),
		parts.Button(words.T("overview.hand-over"), to(s, "hand-over"), parts.ID("sealed-hand-over"), parts.Wide))
}

// keySealed is a key that this phone cannot read, or the item of it that it cannot.
func keySealed(s *app.State, k app.KeyNow) m.Node {
	items := len(k.Key.Items)
	return m.El("div", m.ID("key"),
		keyHead(s, k),
		parts.Main(
			sealedCard(s,
				parts.Para(words.T("seal.set", items-k.Key.Missing(), items), "strong"),
				m.If(k.Key.Locked, parts.Para(words.T("seal.locked"))),
				m.If(k.Status == merge.InQuestion, parts.Para(words.T("seal.question")))),
			m.If(!s.Sealed() && items > 1, sealedTiles(s, k)),
			historyButton(s, k.Subject()),
			caution(k.Class)))
}

// sealedTiles leads to the items that this phone can read.
func sealedTiles(s *app.State, k app.KeyNow) m.Node {
	if k.Bird.Book != nil {
		return keyTiles(s, k)
	}
	return keyKindTiles(s, k)
}

// unread is an answer on a tile that is set and cannot be read here.
func unread(answer string, status merge.Status) bool {
	return answer == "" && (status == merge.Single || status == merge.Confirmed)
}

// sealedQuestion tells where a question is settled whose values are sealed to this
// phone.
func sealedQuestion(s *app.State, sub record.Subject) m.Part {
	return m.If(s.OnOfficials(sub), parts.Notice(parts.Info, words.T("questions.sealed"), parts.Para(words.T("questions.sealed-fix"))))
}

// sealedHistory says why some of a history is not told here.
func sealedHistory(s *app.State, past []app.Past) m.Part {
	sealed := slices.ContainsFunc(past, func(p app.Past) bool { return contest.Answers(p.Subject.Kind) && record.Veiled(p.Value) })
	return m.If(sealed, parts.Para(words.T("history.sealed-text"), "soft"))
}
