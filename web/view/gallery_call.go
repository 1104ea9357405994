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
	shell := func(defect string, more ...string) []string {
		return append([]string{"call.thing:shell", "call.site:middle", "call.defect:middle:" + defect}, more...)
	}
	call("shell", "call.thing:shell")
	call("shell, what is it", "call.thing:shell", "call.site:middle")
	call("shell, stain not measured", shell("stain-moderate", "call.leave")...)
	call("shell, stain of 17 mm", shell("stain-moderate", "call.set:length:17 mm")...)
	call("shell, stain of 1/32", shell("stain-moderate", "call.set:share:1/32", "call.why")...)
	call("shell, scattered", shell("stain-scattered", "call.set:length:9 mm", "call.count:1", "call.count:1", "call.leave")...)
	call("shell, check and ridges", "call.thing:shell", "call.look:sound:2", "call.look:ridges-pronounced:1", "call.weight:4")
	call("light", "call.thing:light")
	call("light, A", "call.thing:light", "call.set:depth:3/16 in", "call.look:outline:1")
	call("light, loss", "call.thing:light", "call.set:depth:1/8 in", "call.site:white", "call.defect:white:spot", "call.set:length:3/16 in", "call.leave")
	call("light, why", "call.thing:light", "call.set:depth:1/4 in", "call.look:outline:2", "call.look:firm:2", "call.why")
	call("opened", "call.thing:opened")
	call("opened, AA", "call.thing:opened", "call.set:length:5.9", "call.set:weight:58")
	call("opened, forms differ", "call.thing:opened", "call.set:length:3.4", "call.set:weight:46", "call.set:warmth:72 F")
	call("opened, not measurable", "call.thing:opened", "call.set:length:0.3", "call.set:weight:70 g")
	call("opened, why", "call.thing:opened", "call.set:length:3.4", "call.set:weight:46", "call.why")
	call("opened, by look", "call.thing:opened", "call.look:high:2", "call.site:yolk", "call.defect:yolk:spot", "call.set:length:1/16 in", "call.leave")
	call("part", "call.thing:part")
	call("part, how much", "call.thing:part", "call.kind:leg-quarter", "call.site:hip", "call.defect:hip:hip-out", "call.leave", "call.site:part", "call.defect:part:tear", "call.set:length:3/8 in")
	call("part, federal", "call.book:parts-federal", "call.view:whole-wing", "call.site:joint", "call.defect:joint:disjoint", "call.leave")
	call("piece", "call.thing:piece")
	call("piece, bare spot", "call.thing:piece", "call.kind:patty", "call.site:piece-1", "call.defect:piece-1:bare-spot", "call.set:length:3/8 in")
	call("piece, faults", "call.thing:piece", "call.view:three", "call.site:piece-2", "call.defect:piece-2:bare-spot", "call.set:length:3/8 in", "call.leave", "call.look:broken:1", "call.look:color-off:1")
	call("piece, why", "call.thing:piece", "call.site:piece-1", "call.defect:piece-1:bare-spot", "call.set:length:3/8 in", "call.leave", "call.look:shape-odd:1", "call.why")
	call("carton", "call.thing:carton", "call.site:egg-4", "call.defect:egg-4:check", "call.leave", "call.site:egg-9", "call.defect:egg-9:adhering", "call.leave", "call.look:mixed-color:1")
	call("carton, what is it", "call.thing:carton", "call.site:egg-4")
	badHeight := call("opened, height not understood", "call.thing:opened")
	badHeight.Type("call.type:length", "high")
	badWarmth := call("opened, no temperature", "call.thing:opened", "call.set:length:4.6", "call.set:weight:50")
	badWarmth.Type("call.type:warmth", "cool")
	broken := call("link not understood")
	broken.Visit("#/call/1nonsense")
	return samples
}

// places on the drawing where samples are tapped.
var tapPlaces = map[string][2]int{
	"breast": {430, 640}, "wing-left": {840, 700}, "wing-right": {880, 760}, "tail": {500, 340}, "hip-left": {600, 500},
	"thigh-left": {280, 500}, "drumstick-right": {660, 300},
	"middle": {560, 340}, "white": {240, 820}, "yolk": {480, 470}, "part": {520, 480}, "hip": {400, 300}, "piece-1": {380, 420}, "piece-2": {480, 400},
	"egg-4": {580, 190}, "egg-9": {420, 500},
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
