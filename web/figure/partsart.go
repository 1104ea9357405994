package figure

import (
	"strings"

	"keelcard/web/markup"
)

// pieces are the parts by id. Those cut from the bird name its contours, a * for
// the one on the other side, and how they are drawn; the others are a sketch.
var pieces = [...]piece{
	{id: "half", turn: 28, areas: "breast thigh drumstick drumette flat tip", draw: half.halfBird},
	{id: "front-half", areas: "breast breast* drumette drumette* flat flat* tip tip* neck", draw: half.frontHalf},
	{id: "rear-half", areas: "rear rear* drumstick drumstick*", draw: half.rearHalf},
	{id: "whole-breast-with-ribs", areas: "ribs ribs*", draw: half.ribbedBreast},
	{id: "whole-breast", areas: "breast breast*", draw: half.wholeBreast},
	{id: "split-breast-with-ribs", areas: "ribs", draw: half.ribbedSplit},
	{id: "split-breast", areas: "breast", draw: half.splitBreast},
	{id: "breast-quarter-without-wing", areas: "breast back-ribs", draw: half.winglessQuarter},
	{id: "breast-quarter", areas: "breast back-ribs drumette flat tip", draw: half.breastQuarter},
	{id: "leg-quarter", view: Back, areas: "thigh drumstick back-piece", hip: "314,552", joint: "272,414", draw: half.legQuarter},
	{id: "leg", areas: "thigh drumstick", joint: "272,414", draw: half.wholeLeg},
	{id: "thigh-with-back-portion", view: Back, areas: "thigh-cut back-piece", hip: "314,552", joint: "268,404", draw: half.backThigh},
	{id: "thigh", areas: "thigh-cut", joint: "268,404", draw: half.boneThigh},
	{id: "drumstick", turn: 35, areas: "drumstick", joint: "272,414", draw: half.drum},
	{id: "wing", areas: "drumette flat tip", joint: "100,760", draw: half.wholeWing},
	{id: "drumette", areas: "drumette", draw: half.drumetteAlone},
	{id: "wing-portion", turn: 50, areas: "flat", draw: half.flatAlone},
	{id: "boneless-skinless-whole-breast", sketch: fillet + grain + "\n~tendon 299,200 300,300 298,500"},
	{id: "boneless-skinless-whole-breast-with-rib-meat", sketch: ribMeat + fillet + grain + "\n~tendon 299,200 300,300 298,500"},
	{id: "boneless-skinless-split-breast", shift: 104, sketch: fillet + grain},
	{id: "boneless-skinless-split-breast-with-rib-meat", shift: 104, sketch: ribMeat + fillet + grain},
	{id: "tenderloin", sketch: `=bone 540,74 552,96 524,160 480,240 410,330 318,424 222,500 130,540 66,534 62,484 120,416 208,334 306,252 404,168 484,100
meat *
~tendon 522,96 470,138 392,214 330,284
~crease 150,474 230,398 320,318
~crease 210,470 300,392 400,282 460,200`},
	{id: "wishbone", sketch: `=bone 300,548 244,500 186,400 130,280 96,150 124,76 200,60 300,90 400,60 476,76 504,150 470,280 414,400 356,500
meat *
bone c286,480 c300,520 c314,480 326,390 360,290 410,180 c440,110 c408,104 372,170 330,280 300,360 270,280 228,170 c192,104 c160,110 190,180 240,290 274,390
~crease 240,180 270,270 296,320
~crease 360,180 330,270 304,320`},
	{id: "boneless-skinless-thigh", sketch: `=flesh 150,100 240,76 320,104 400,80 476,120 496,220 474,320 510,420 470,500 380,520 300,500 220,532 136,500 98,410 124,310 96,200
~tendon 306,130 290,220 300,300
~crease 180,180 210,290 190,420
~crease 400,150 380,270 420,420
~crease 290,340 300,420 280,500
bone 110,330 136,300 150,350 130,396
bone 452,452 486,428 470,480`},
	{id: "boneless-skinless-drum", sketch: `=flesh 252,60 300,52 348,60 366,140 396,230 452,330 470,430 420,510 340,520 300,548 250,524 180,500 132,430 152,330 206,230 236,140
~tendon 270,110 262,180 236,260
~tendon 300,106 300,190 304,280
~tendon 330,110 340,180 366,250
~crease 230,290 210,380 250,460
~crease 370,280 396,370 360,460
~crease 300,310 296,400 306,490`},
	{id: "neck", sketch: `=flesh c134,106 190,108 222,142 262,150 292,196 336,210 366,254 410,272 440,314 482,338 c516,396 c470,474 420,450 372,448 344,404 300,392 276,346 232,330 210,286 166,268 140,222 108,202 c94,176
~crease 176,118 150,160 158,206
~crease 246,168 216,206 214,262
~crease 318,226 284,262 278,318
~crease 390,284 354,320 346,372
~crease 456,342 420,376 410,426
bone o118,142 26,36
hollow o116,142 9,13
bone o480,430 22,30
hollow o482,430 8,10`},
	{id: "paws", sketch: `=paw c262,62 c338,62 336,140 342,196 400,178 440,190 460,212 430,236 356,262 404,318 462,400 488,456 460,470 420,430 356,348 330,340 330,430 322,510 300,532 278,510 270,430 270,340 244,348 180,430 140,470 112,456 138,400 196,318 258,250 262,160
bone o300,64 40,15
~crease 266,110 300,120 334,110
~crease 264,150 300,160 336,150
~crease 262,190 300,200 338,190
~crease 258,228 300,240 342,228
~crease 222,326 240,344
~crease 190,372 210,388
~crease 378,326 360,344
~crease 410,372 390,388
~crease 286,340 314,340
~crease 286,390 314,390
~crease 288,440 312,440
~claw 128,462 116,492
~claw 300,520 300,552
~claw 472,462 484,492
~claw 452,216 482,212`},
	{id: "liver", sketch: `=liver c296,150 230,100 140,130 86,220 80,340 130,420 200,440 262,400 292,340 330,420 400,500 470,510 516,440 530,320 500,200 430,110 350,96
~gleam 150,210 130,270 140,330
~gleam 380,150 440,180 470,250
~fold 296,150 286,240 290,330`},
	{id: "gizzard", sketch: `=flesh 76,300 96,200 170,128 250,140 300,132 350,140 430,128 504,200 524,300 504,400 430,472 350,460 300,468 250,460 170,472 96,400
bone 300,150 366,210 384,300 366,390 300,450 234,390 216,300 234,210
~crease 300,190 300,410
^~crease 260,230 240,300 260,370
^~crease 120,230 106,300 120,370
^~crease 160,200 146,300 160,400`},
	{id: "heart", sketch: `flesh c226,176 c214,70 c282,60 c290,170
hollow o248,66 32,13
flesh c306,170 c330,92 c390,108 c384,190
hollow o360,100 28,12
=flesh 296,552 232,480 174,370 160,260 200,180 290,150 390,166 440,240 432,350 380,460
bone c164,236 196,186 290,154 390,170 c438,240 410,206 352,214 300,196 240,220 200,214
~crease 330,250 310,330 320,420
~crease 240,290 250,360 280,430
~crease 400,270 390,340 360,410`},
}

// A boned breast: one side of it, the grain of its meat, the meat of its ribs.
const (
	fillet  = "^=bone c298,170 262,104 190,86 112,140 74,240 86,350 142,452 212,524 272,548 c296,512\n^meat *\n"
	grain   = "^~crease 150,170 130,250 150,360\n^~crease 206,140 190,260 220,420\n^~crease 256,160 250,280 264,440"
	ribMeat = "^flesh c96,300 56,330 34,392 62,424 46,464 92,488 108,520 160,508 c220,500 c180,380\n"
)

// Contours of what a knife or saw leaves, on the bird's sheet.
const (
	backPiece   = "c398,440 c350,450 330,500 300,560 260,660 c300,690 c398,676"
	quarterBack = "c300,610 c226,596 170,700 138,800 c150,890 c196,940 c250,900"
	thighCut    = "c188,400 166,440 154,486 158,552 178,614 208,668 246,694 286,664 318,606 340,540 352,474 c348,408"
	rearCut     = "c400,404 350,400 300,396 204,372 168,424 154,486 158,552 178,614 208,668 236,696 c300,712 c400,724"
	ribCage     = "c400,550 330,560 240,620 176,700 146,790 150,880 196,940 280,984 348,990 382,976 c400,956"
	cutEdge     = "c398,556 c426,580 434,760 c424,936 c398,956" // the face of a breast sawn in two
)

// area is a contour by the name it has in the list of parts.
func (c piece) area(name string) contour {
	name, other := strings.CutSuffix(name, "*")
	area := map[string]contour{"breast": breastHalf, "thigh": thigh, "drumstick": drumstick, "drumette": drumette, "flat": flat, "tip": tip, "neck": neckFront}[name]
	if area == nil {
		area = trace(map[string]string{"rear": rearCut, "ribs": ribCage, "back-ribs": quarterBack, "thigh-cut": thighCut, "back-piece": backPiece}[name])
	}
	if other {
		return area.mirrored(birdAxis)
	}
	return area
}

// stroked is a line of a sketch.
type stroked struct {
	class string
	c     contour
	open  bool // a line, not a shape
	whole bool // the outline of the part
}

// lines reads a sketch: on each line a class and points. In front of them = is
// the outline, ~ an open line, ^ one that is there on both sides of a part that
// lies in the middle; o before the points is an oval, * the points before.
func (c piece) lines() []stroked {
	var out []stroked
	var last contour
	for line := range strings.SplitSeq(c.sketch, "\n") {
		class, points, _ := strings.Cut(line, " ")
		class, twice := strings.CutPrefix(class, "^")
		var s stroked
		class, s.whole = strings.CutPrefix(class, "=")
		class, s.open = strings.CutPrefix(class, "~")
		s.class = "fig-" + class
		if points != "*" {
			round, isOval := strings.CutPrefix(points, "o")
			last = trace(round)
			if isOval {
				last = oval(last[0].x, last[0].y, last[1].x, last[1].y)
			}
		}
		s.c = last.moved(p(c.shift, 0))
		out = append(out, s)
		if twice && c.shift == 0 {
			s.c = last.mirrored(partSize / 2)
			out = append(out, s)
		}
	}
	return out
}

func (c piece) sketched() markup.Part {
	return markup.Each(c.lines(), func(_ int, s stroked) markup.Part {
		return markup.El("path", markup.Class(s.class), markup.Attr("d", s.c.path(!s.open)))
	})
}

func each(class string, lines ...string) markup.Part {
	return markup.Each(lines, func(_ int, line string) markup.Part { return stroke(class, trace(line)) })
}

func (h half) wholeBreast() markup.Part { return h.artist.breast() }
func (h half) ribbedBreast() markup.Part {
	return markup.Group(h.artist.halves(half.ribs), h.wholeBreast())
}
func (h half) ribbedSplit() markup.Part { return markup.Group(h.ribs(), h.splitBreast()) }
func (h half) breastQuarter() markup.Part {
	return markup.Group(h.wing(), h.backRibs(), h.splitBreast())
}
func (h half) legQuarter() markup.Part { return markup.Group(h.backPiece(), h.haunch(), h.stick()) }
func (h half) backThigh() markup.Part {
	return markup.Group(h.backPiece(), h.thighAlone(), h.hipJoint())
}
func (h half) boneThigh() markup.Part { return markup.Group(h.thighAlone(), h.cut(340, 500, 12, 40)) }
func (h half) drum() markup.Part      { return markup.Group(h.stick(), h.cut(270, 424, 40, 17)) }
func (h half) wholeWing() markup.Part { return markup.Group(h.wing(), h.cut(268, 840, 14, 34)) }

func (h half) winglessQuarter() markup.Part {
	return markup.Group(h.backRibs(), h.splitBreast(), h.cut(240, 812, 22, 34))
}

func (h half) wholeLeg() markup.Part {
	return markup.Group(h.thigh(), h.cut(336, 492, 12, 40), h.stick())
}

func (h half) drumetteAlone() markup.Part {
	return markup.Group(h.wingDrumette(false), h.cut(268, 840, 14, 34), h.cut(92, 756, 13, 19))
}

func (h half) splitBreast() markup.Part {
	return markup.Group(h.patch("fig-flesh", trace(cutEdge)), h.stroke("fig-tendon", trace("414,590 420,760 412,930")),
		h.lobe(), h.patch("fig-rim", breastHalf), h.breastSkin())
}

// ribs lie beside the breast.
func (h half) ribs() markup.Part {
	return markup.Group(h.patch("fig-flesh", trace(ribCage)), h.ribBones())
}

func (h half) ribBones() markup.Part {
	return markup.Each([]string{"262,640 220,680 186,736", "236,700 196,742 160,806", "216,760 182,804 156,858", "210,820 186,862 172,906", "218,874 204,906 204,940"}, func(_ int, line string) markup.Part {
		return markup.Group(h.stroke("fig-rib-edge", trace(line)), h.stroke("fig-rib", trace(line)))
	})
}

// backRibs are the ribs and the piece of back that a breast quarter keeps.
func (h half) backRibs() markup.Part {
	return markup.Group(h.patch("fig-flesh", trace(quarterBack)), h.ribBones(), h.solid(trace("c226,596 c196,606 150,700 116,800 c130,896 c152,890 142,800 176,700"), "breast"))
}

// backPiece is the piece of back on a leg quarter, cut along the backbone.
func (h half) backPiece() markup.Part {
	return markup.Group(h.patch("fig-flesh", trace("c398,440 c420,454 422,560 c418,662 c398,676")), h.solid(trace(backPiece), "torso"),
		h.stroke("fig-rib", trace("409,470 411,560 408,650")),
		h.pores(trace("376,480 340,560 310,650 384,650"), 26))
}

// thighAlone is cut off at the knee.
func (h half) thighAlone() markup.Part {
	return markup.Group(h.solid(trace(thighCut), "thigh"),
		h.pores(trace("190,450 180,500 190,580 230,650 280,600 310,520 320,450"), 30), h.cut(268, 404, 80, 24))
}

func (h half) hipJoint() markup.Part {
	return markup.Group(h.patch("fig-hip", oval(314, 552, 15, 17)), h.stroke("fig-crease", trace("300,534 294,552 300,572")))
}

func (h half) flatAlone() markup.Part {
	return markup.Group(h.solid(flat, "flat"), h.flatSkin(), h.cut(78, 948, 27, 12), h.cut(100, 748, 22, 12))
}

// halfBird is the bird's side sawn from the other along the keel.
func (h half) halfBird() markup.Part {
	return markup.Group(
		h.wing(),
		h.patch("fig-flesh", trace("c398,410 c424,424 436,700 c426,930 c398,956")), h.stroke("fig-rib", trace("412,440 418,700 412,920")),
		h.solid(trace("c400,404 362,408 336,424 318,480 290,560 250,640 260,700 c400,700"), "belly"),
		h.thigh(), h.lobe(), h.patch("fig-rim", breastHalf), h.breastSkin(), h.stick())
}

// frontHalf is cut across behind the breast: the body cavity shows.
func (h half) frontHalf() markup.Part {
	return markup.Group(h.artist.halves(half.wing),
		h.artist.halves(func(h half) markup.Part { return h.solid(neckFront, "neck") }),
		h.patch("fig-flesh", trace("c268,640 270,560 320,524 400,516 480,524 530,560 c532,640")), h.patch("fig-hollow", trace("c300,640 306,580 350,550 400,544 450,550 494,580 c500,640")),
		h.artist.breast())
}

// rearHalf is cut across before the thighs.
func (h half) rearHalf() markup.Part {
	return markup.Group(
		h.solid(tailFront, "tail"),
		h.solid(both(abdomenHalf), "belly"),
		h.artist.halves(half.thigh),
		h.patch("fig-flesh", vent), h.patch("fig-hollow", ventHole),
		h.artist.halves(half.stick),
		h.patch("fig-flesh", oval(400, 668, 168, 44)), h.patch("fig-hollow", oval(400, 666, 122, 26)))
}
