package view

import (
	"keelcard/engine/grading"
	"keelcard/web/app"
)

// galleryCall shows a carcass call from the first tap to the reasons.
func galleryCall() []Sample {
	var samples []Sample
	call := func(name string, actions ...string) *app.Runner {
		r, err := app.NewRunner(1, &app.Memory{})
		if err != nil {
			panic(err)
		}
		r.Visit("#/call")
		for _, a := range actions {
			tapped(r, a)
		}
		samples = append(samples, Sample{"call/" + name, r.State})
		return r
	}
	breast := []string{"call.site:breast", "call.defect:breast:bare-flesh", "call.set:length:1/2 in"}
	call("nothing found")
	call("what is it", "call.site:breast")
	call("what is it on a wing", "call.view:back", "call.site:wing-left")
	call("not measured", breast[:2]...)
	call("how much", breast...)
	call("found", append(breast, "call.leave")...)
	call("why", append(breast, "call.why")...)
	call("exactly on the limit", "call.site:breast", "call.defect:breast:tear", "call.set:length:1/4 in", "call.why")
	call("depth", "call.site:breast", "call.defect:breast:meat-trimmed", "call.set:length:3/4 in", "call.set:share:5 %", "call.set:depth:2.5 mm")
	call("sources differ", "call.site:breast", "call.defect:breast:meat-trimmed", "call.set:length:3/4 in", "call.set:share:5 %", "call.set:depth:2.5 mm", "call.why")
	call("read otherwise", "call.site:breast", "call.defect:breast:meat-trimmed", "call.set:length:3/4 in", "call.set:share:5 %", "call.set:depth:2.5 mm", "call.option:depth:coin", "call.why")
	call("tail cut", "call.view:back", "call.site:tail", "call.defect:tail:tail-cut", "call.set:share:2/5")
	call("bones", "call.view:back", "call.site:hip-left", "call.defect:hip-left:disjoint", "call.count:1")
	call("does not count", "call.site:breast", "call.defect:breast:discolored")
	call("federal standard", append(breast, "call.leave", "call.book:carcass-federal")...)
	call("not in the other book", "call.site:breast", "call.defect:breast:meat-trimmed", "call.set:depth:1/16 in", "call.book:carcass-federal", "call.why")
	bad := call("length not understood", breast...)
	bad.Type("call.type:length", "about so long")
	many := []string{
		"call.site:breast", "call.defect:breast:bare-flesh", "call.set:length:3/8 in",
		"call.site:wing-right", "call.defect:wing-right:wing-tip-off",
		"call.site:thigh-left", "call.defect:thigh-left:tear", "call.set:length:1/4 in",
		"call.site:drumstick-right", "call.defect:drumstick-right:break-covered", "call.sure:" + grading.Doubtful,
		"call.view:back", "call.site:tail", "call.defect:tail:tail-off", "call.view:front", "call.leave",
	}
	call("many findings", many...)
	call("doubtful", "call.site:wing-left", "call.defect:wing-left:wing-off", "call.sure:"+grading.Doubtful, "call.why")
	broken := call("link not understood")
	broken.Visit("#/call/1nonsense")
	return samples
}

// places on the drawing where samples are tapped.
var tapPlaces = map[string][2]int{
	"breast": {430, 640}, "wing-left": {840, 700}, "wing-right": {880, 760}, "tail": {500, 340}, "hip-left": {600, 500},
	"thigh-left": {280, 500}, "drumstick-right": {660, 300},
}

// tapped sends an action; a tap on the drawing with its place.
func tapped(r *app.Runner, action string) {
	msg, err := app.Parse(action)
	if err != nil {
		panic(err)
	}
	if at, ok := tapPlaces[msg.Arg(0)]; ok {
		msg.X, msg.Y = at[0], at[1]
	}
	r.Send(msg)
}
