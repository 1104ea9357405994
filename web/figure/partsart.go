package figure

import (
	"sync"

	"keelcard/web/markup"
)

// pieces are all parts by id. Made when one is first drawn.
var pieces = sync.OnceValue(func() map[string]piece {
	of := func(view View, turn float64, from string, draw func(half) markup.Part, areas ...contour) piece {
		return piece{view: view, fits: true, turn: turn, from: from, draw: draw, areas: areas}
	}
	own := func(from string, area contour, draw func(half) markup.Part) piece {
		return piece{view: Front, from: from, draw: draw, areas: []contour{area}}
	}
	jointed := func(c piece, hip, joint string) piece {
		c.hip, c.joint = trace(hip), trace(joint)
		return c
	}
	const breast, lobe, leg = "front breast", "front breast-half", "front thigh-left drumstick-left"
	whole, one := both(breastHalf), breastHalf
	lobes := append(append(contour{}, fillet...), fillet.mirrored(300)...)
	return map[string]piece{
		"half":       of(Front, 28, leg+" wing-left breast-half", half.halfBird, one, thigh, drumstick, drumetteSeen, flat, tip),
		"front-half": of(Front, 0, breast+" wing neck", half.frontHalf, whole, drumetteSeen, drumetteSeen.mirrored(birdAxis), flat, flat.mirrored(birdAxis), tip, tip.mirrored(birdAxis), neckFront),
		"rear-half":  of(Front, 0, "front thigh drumstick vent", half.rearHalf, both(rearCut), drumstick, drumstick.mirrored(birdAxis)),

		"whole-breast-with-ribs":                       of(Front, 0, breast, func(h half) markup.Part { return markup.Group(h.artist.halves(half.ribs), h.wholeBreast()) }, both(ribCage)),
		"whole-breast":                                 of(Front, 0, breast, half.wholeBreast, whole),
		"split-breast-with-ribs":                       of(Front, 0, lobe, func(h half) markup.Part { return markup.Group(h.ribs(), h.splitBreast()) }, ribCage),
		"split-breast":                                 of(Front, 0, lobe, half.splitBreast, one),
		"breast-quarter-without-wing":                  of(Front, 0, lobe, func(h half) markup.Part { return markup.Group(h.backRibs(), h.splitBreast(), h.cut(240, 812, 22, 34)) }, one, quarterBack),
		"breast-quarter":                               of(Front, 0, lobe+" wing-left", func(h half) markup.Part { return markup.Group(h.wing(), h.backRibs(), h.splitBreast()) }, one, quarterBack, drumetteSeen, flat, tip),
		"boneless-skinless-whole-breast":               own(breast, lobes, func(h half) markup.Part { return filletPair(nil) }),
		"boneless-skinless-whole-breast-with-rib-meat": own(breast, lobes, func(h half) markup.Part { return filletPair(ribMeat) }),
		"boneless-skinless-split-breast":               own(lobe, fillet.moved(p(104, -10)), func(h half) markup.Part { return oneFillet(nil) }),
		"boneless-skinless-split-breast-with-rib-meat": own(lobe, fillet.moved(p(104, -10)), func(h half) markup.Part { return oneFillet(ribMeat) }),
		"tenderloin": own("front fillet-inside", tenderloin, func(half) markup.Part {
			return markup.Group(meat(tenderloin), stroke("fig-tendon", contour{p(522, 96), p(470, 138), p(392, 214), p(330, 284)}),
				stroke("fig-crease", contour{p(150, 474), p(230, 398), p(320, 318)}), stroke("fig-crease", contour{p(210, 470), p(300, 392), p(400, 282), p(460, 200)}))
		}),
		"wishbone": own("front wishbone-seen", wishMeat, func(half) markup.Part {
			return markup.Group(meat(wishMeat), patch("fig-bone", wishbone), stroke("fig-crease", contour{p(240, 180), p(270, 270), p(296, 320)}), stroke("fig-crease", contour{p(360, 180), p(330, 270), p(304, 320)}))
		}),

		"leg-quarter":             jointed(of(Back, 0, "back back-piece thigh-right drumstick-right", func(h half) markup.Part { return markup.Group(h.backPiece(), h.haunch(), h.stick()) }, thighBack, drumstick, backPiece), "314,552", "272,414"),
		"leg":                     jointed(of(Front, 0, leg, func(h half) markup.Part { return markup.Group(h.thigh(), h.cut(336, 492, 12, 40), h.stick()) }, thigh, drumstick), "", "272,414"),
		"thigh-with-back-portion": jointed(of(Back, 0, "back back-piece thigh-right", func(h half) markup.Part { return markup.Group(h.backPiece(), h.thighAlone(), h.hipJoint()) }, thighCut, backPiece), "314,552", "268,404"),
		"thigh":                   jointed(of(Front, 0, "front thigh-left", func(h half) markup.Part { return markup.Group(h.thighAlone(), h.cut(340, 500, 12, 40)) }, thighCut), "", "268,404"),
		"boneless-skinless-thigh": own("front thigh-left", bonedThigh, func(half) markup.Part {
			return markup.Group(patch("fig-flesh", bonedThigh), stroke("fig-tendon", contour{p(306, 130), p(290, 220), p(300, 300)}),
				stroke("fig-crease", contour{p(180, 180), p(210, 290), p(190, 420)}), stroke("fig-crease", contour{p(400, 150), p(380, 270), p(420, 420)}), stroke("fig-crease", contour{p(290, 340), p(300, 420), p(280, 500)}),
				patch("fig-bone", contour{p(110, 330), p(136, 300), p(150, 350), p(130, 396)}), patch("fig-bone", contour{p(452, 452), p(486, 428), p(470, 480)}))
		}),
		"drumstick": jointed(of(Front, 35, "front drumstick-left", func(h half) markup.Part { return markup.Group(h.stick(), h.cut(270, 424, 40, 17)) }, drumstick), "", "272,414"),
		"boneless-skinless-drum": own("front drumstick-left", bonedDrum, func(half) markup.Part {
			return markup.Group(patch("fig-flesh", bonedDrum), each("fig-tendon", "270,110 262,180 236,260", "300,106 300,190 304,280", "330,110 340,180 366,250"),
				each("fig-crease", "230,290 210,380 250,460", "370,280 396,370 360,460", "300,310 296,400 306,490"))
		}),

		"wing": jointed(of(Front, 0, "front wing-left", func(h half) markup.Part { return markup.Group(h.wing(), h.cut(268, 840, 14, 34)) }, drumette, flat, tip), "", "100,760"),
		"drumette": of(Front, 0, "front wing-left-drumette", func(h half) markup.Part {
			return markup.Group(h.wingDrumette(false), h.cut(268, 840, 14, 34), h.cut(92, 756, 13, 19))
		}, drumette),
		"wing-portion": of(Front, 50, "front wing-left-flat", func(h half) markup.Part {
			return markup.Group(h.flatAlone(), h.cut(78, 948, 27, 12), h.cut(100, 748, 22, 12))
		}, flat),
		"neck": own("front neck", neckPart, func(half) markup.Part {
			return markup.Group(patch("fig-flesh", neckPart), each("fig-crease", "176,118 150,160 158,206", "246,168 216,206 214,262", "318,226 284,262 278,318", "390,284 354,320 346,372", "456,342 420,376 410,426"),
				patch("fig-bone", oval(118, 142, 26, 36)), patch("fig-hollow", oval(116, 142, 9, 13)), patch("fig-bone", oval(480, 430, 22, 30)), patch("fig-hollow", oval(482, 430, 8, 10)))
		}),
		"paws": own("", paw, func(half) markup.Part {
			return markup.Group(patch("fig-paw", paw), patch("fig-bone", oval(300, 64, 40, 15)),
				each("fig-crease", "266,110 300,120 334,110", "264,150 300,160 336,150", "262,190 300,200 338,190", "258,228 300,240 342,228", "222,326 240,344", "190,372 210,388", "378,326 360,344", "410,372 390,388", "286,340 314,340", "286,390 314,390", "288,440 312,440"),
				each("fig-claw", "128,462 116,492", "300,520 300,552", "472,462 484,492", "452,216 482,212"))
		}),
		"liver": own("", liver, func(half) markup.Part {
			return markup.Group(patch("fig-liver", liver), each("fig-gleam", "150,210 130,270 140,330", "380,150 440,180 470,250"), stroke("fig-fold", contour{p(296, 150), p(286, 240), p(290, 330)}))
		}),
		"gizzard": own("", gizzard, func(half) markup.Part {
			return markup.Group(patch("fig-flesh", gizzard), patch("fig-bone", contour{p(300, 150), p(366, 210), p(384, 300), p(366, 390), p(300, 450), p(234, 390), p(216, 300), p(234, 210)}),
				each("fig-crease", "260,230 240,300 260,370", "300,190 300,410", "340,230 360,300 340,370", "120,230 106,300 120,370", "160,200 146,300 160,400", "480,230 494,300 480,370", "440,200 454,300 440,400"))
		}),
		"heart": own("", heart, func(half) markup.Part {
			return markup.Group(patch("fig-flesh", trace("c226,176 c214,70 c282,60 c290,170")), patch("fig-hollow", oval(248, 66, 32, 13)), patch("fig-flesh", trace("c306,170 c330,92 c390,108 c384,190")), patch("fig-hollow", oval(360, 100, 28, 12)),
				patch("fig-flesh", heart), patch("fig-bone", trace("c164,236 196,186 290,154 390,170 c438,240 410,206 352,214 300,196 240,220 200,214")),
				each("fig-crease", "330,250 310,330 320,420", "240,290 250,360 280,430", "400,270 390,340 360,410"))
		}),
	}
})

// Contours of parts that are nowhere to be seen on a whole bird, on their own sheet.
var (
	fillet      = trace("c298,170 262,104 190,86 112,140 74,240 86,350 142,452 212,524 272,548 c296,512")
	ribMeat     = trace("c96,300 56,330 34,392 62,424 46,464 92,488 108,520 160,508 c220,500 c180,380")
	tenderloin  = trace("540,74 552,96 524,160 480,240 410,330 318,424 222,500 130,540 66,534 62,484 120,416 208,334 306,252 404,168 484,100")
	wishbone    = trace("c286,480 c300,520 c314,480 326,390 360,290 410,180 c440,110 c408,104 372,170 330,280 300,360 270,280 228,170 c192,104 c160,110 190,180 240,290 274,390")
	wishMeat    = trace("300,548 244,500 186,400 130,280 96,150 124,76 200,60 300,90 400,60 476,76 504,150 470,280 414,400 356,500")
	bonedThigh  = trace("150,100 240,76 320,104 400,80 476,120 496,220 474,320 510,420 470,500 380,520 300,500 220,532 136,500 98,410 124,310 96,200")
	bonedDrum   = trace("252,60 300,52 348,60 366,140 396,230 452,330 470,430 420,510 340,520 300,548 250,524 180,500 132,430 152,330 206,230 236,140")
	neckPart    = trace("c134,106 190,108 222,142 262,150 292,196 336,210 366,254 410,272 440,314 482,338 c516,396 c470,474 420,450 372,448 344,404 300,392 276,346 232,330 210,286 166,268 140,222 108,202 c94,176")
	paw         = trace("c262,62 c338,62 336,140 342,196 400,178 440,190 460,212 430,236 356,262 404,318 462,400 488,456 460,470 420,430 356,348 330,340 330,430 322,510 300,532 278,510 270,430 270,340 244,348 180,430 140,470 112,456 138,400 196,318 258,250 262,160")
	liver       = trace("c296,150 230,100 140,130 86,220 80,340 130,420 200,440 262,400 292,340 330,420 400,500 470,510 516,440 530,320 500,200 430,110 350,96")
	gizzard     = trace("76,300 96,200 170,128 250,140 300,132 350,140 430,128 504,200 524,300 504,400 430,472 350,460 300,468 250,460 170,472 96,400")
	heart       = trace("296,552 232,480 174,370 160,260 200,180 290,150 390,166 440,240 432,350 380,460")
	backPiece   = trace("c398,440 c350,450 330,500 300,560 260,660 c300,690 c398,676")
	quarterBack = trace("c300,610 c226,596 170,700 138,800 c150,890 c196,940 c250,900")
	thighCut    = trace("c188,400 166,440 154,486 158,552 178,614 208,668 246,694 286,664 318,606 340,540 352,474 c348,408")
	rearCut     = trace("c400,404 350,400 300,396 204,372 168,424 154,486 158,552 178,614 208,668 236,696 c300,712 c400,724")
	ribCage     = trace("c400,550 330,560 240,620 176,700 146,790 150,880 196,940 280,984 348,990 382,976 c400,956")
	cutEdge     = trace("c398,556 c426,580 434,760 c424,936 c398,956") // the face of a breast sawn in two
)

func each(class string, lines ...string) markup.Part {
	return markup.Each(lines, func(_ int, line string) markup.Part { return stroke(class, trace(line)) })
}

// meat is white meat without its skin.
func meat(c contour) markup.Part {
	return markup.Group(patch("fig-bone", c), patch("fig-meat", c))
}

func (h half) wholeBreast() markup.Part { return h.artist.breast() }

func (h half) splitBreast() markup.Part {
	return markup.Group(h.patch("fig-flesh", cutEdge), h.stroke("fig-tendon", contour{p(414, 590), p(420, 760), p(412, 930)}),
		h.lobe(), h.patch("fig-rim", breastHalf), h.breastSkin())
}

// ribs lie beside the breast.
func (h half) ribs() markup.Part {
	return markup.Group(h.patch("fig-flesh", ribCage), h.ribBones())
}

func (h half) ribBones() markup.Part {
	return markup.Each([]string{"262,640 220,680 186,736", "236,700 196,742 160,806", "216,760 182,804 156,858", "210,820 186,862 172,906", "218,874 204,906 204,940"}, func(_ int, line string) markup.Part {
		return markup.Group(h.stroke("fig-rib-edge", trace(line)), h.stroke("fig-rib", trace(line)))
	})
}

// backRibs are the ribs and the piece of back that a breast quarter keeps.
func (h half) backRibs() markup.Part {
	return markup.Group(h.patch("fig-flesh", quarterBack), h.ribBones(), h.solid(trace("c226,596 c196,606 150,700 116,800 c130,896 c152,890 142,800 176,700"), "breast"))
}

// backPiece is the piece of back on a leg quarter, cut along the backbone.
func (h half) backPiece() markup.Part {
	return markup.Group(h.patch("fig-flesh", trace("c398,440 c420,454 422,560 c418,662 c398,676")), h.solid(backPiece, "torso"),
		h.stroke("fig-rib", contour{p(409, 470), p(411, 560), p(408, 650)}),
		h.pores(contour{p(376, 480), p(340, 560), p(310, 650), p(384, 650)}, 26))
}

// thighAlone is cut off at the knee.
func (h half) thighAlone() markup.Part {
	return markup.Group(h.solid(thighCut, "thigh"),
		h.pores(contour{p(190, 450), p(180, 500), p(190, 580), p(230, 650), p(280, 600), p(310, 520), p(320, 450)}, 30), h.cut(268, 404, 80, 24))
}

func (h half) hipJoint() markup.Part {
	return markup.Group(h.patch("fig-hip", oval(314, 552, 15, 17)), h.stroke("fig-crease", contour{p(300, 534), p(294, 552), p(300, 572)}))
}

func (h half) flatAlone() markup.Part {
	return markup.Group(h.solid(flat, "flat"), h.flatSkin())
}

// halfBird is the bird's side sawn from the other along the keel.
func (h half) halfBird() markup.Part {
	return markup.Group(
		h.wing(),
		h.patch("fig-flesh", trace("c398,410 c424,424 436,700 c426,930 c398,956")), h.stroke("fig-rib", contour{p(412, 440), p(418, 700), p(412, 920)}),
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

// filletPair is a boned breast without its skin; extra lies at its sides.
func filletPair(extra contour) markup.Part {
	side := func(c, x contour) markup.Part {
		return markup.Group(markup.If(x != nil, patch("fig-flesh", x)), meat(c))
	}
	return markup.Group(side(fillet, extra), side(fillet.mirrored(300), extra.mirrored(300)),
		stroke("fig-tendon", contour{p(299, 200), p(300, 300), p(298, 500)}), filletGrain(0, false), filletGrain(0, true))
}

// oneFillet is half of it, in the middle of the sheet.
func oneFillet(extra contour) markup.Part {
	at := p(104, -10)
	return markup.Group(markup.If(extra != nil, patch("fig-flesh", extra.moved(at))), meat(fillet.moved(at)), filletGrain(at.x, false))
}

func filletGrain(dx float64, mirror bool) markup.Part {
	return markup.Each([]string{"150,170 130,250 150,360", "206,140 190,260 220,420", "256,160 250,280 264,440"}, func(_ int, line string) markup.Part {
		c := trace(line).moved(p(dx, 0))
		if mirror {
			c = c.mirrored(300)
		}
		return stroke("fig-crease", c)
	})
}
