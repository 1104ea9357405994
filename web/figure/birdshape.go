package figure

// The bird is drawn on a sheet of birdW by birdH units and is symmetrical
// about birdAxis. What follows is the half on the viewer's left; the other half
// is its mirror image. The proportions are those of a broiler of about 2.2 kg
// at 26 units to the centimetre.
const (
	birdW    = 800.0
	birdH    = 1110.0
	birdAxis = 400.0
)

// Contours that both views share.
var (
	drumstick = contour{
		corner(252, 92), p(250, 112), p(256, 134), p(252, 164), p(232, 206), p(206, 258), p(190, 316), p(188, 362), p(204, 402),
		p(244, 432), p(296, 436), p(334, 410), p(350, 358), p(350, 306), p(338, 252), p(318, 202), p(304, 164), p(300, 134), p(304, 112), corner(302, 92),
		p(290, 78), p(277, 84), p(264, 78),
	}
	drumstickOuter = contour{p(252, 92), p(250, 112), p(256, 134), p(252, 164), p(232, 206), p(206, 258), p(190, 316), p(188, 352), p(190, 376)}
	drumstickInner = contour{p(302, 92), p(304, 112), p(300, 134), p(304, 164), p(318, 202), p(338, 252), p(350, 306), p(351, 350), p(346, 384), p(338, 404)}
	thigh          = contour{
		corner(192, 368), p(168, 424), p(154, 486), p(158, 552), p(178, 614), p(208, 668), p(246, 694), p(286, 664),
		p(318, 606), p(340, 540), p(352, 474), p(350, 420), p(322, 396), p(256, 404),
	}
	drumette = contour{
		p(266, 812), p(228, 788), p(186, 772), p(148, 750), p(118, 730), p(92, 734), p(82, 760), p(96, 788), p(122, 812),
		p(150, 848), p(182, 890), p(220, 918), p(256, 914), p(278, 868),
	}
	// what is seen of it beside the body
	drumetteSeen = contour{
		corner(214, 778), p(186, 772), p(148, 750), p(118, 730), p(92, 734), p(82, 760), p(96, 788), p(122, 812),
		p(150, 848), p(182, 890), corner(224, 916), p(210, 868), p(206, 800),
	}
	flat = contour{
		p(88, 740), p(66, 784), p(50, 846), p(42, 908), p(50, 946), p(76, 958), p(102, 946), p(116, 912), p(126, 866), p(132, 822), p(128, 784), p(112, 750),
	}
	tip   = contour{p(46, 928), p(42, 964), p(52, 1004), p(74, 1046), p(102, 1080), corner(126, 1096), p(134, 1066), p(132, 1028), p(124, 992), p(114, 960), p(100, 936), p(72, 926)}
	thumb = contour{corner(102, 934), p(118, 940), corner(126, 962), p(110, 960), corner(98, 950)}
	// the skin that spans from the shoulder to the wrist
	web = contour{corner(112, 780), p(160, 830), p(220, 880), corner(250, 914), p(196, 904), p(144, 912), p(110, 936), corner(92, 950), p(110, 880)}
)

// Contours of the front.
var (
	// what is seen of the thigh beside the breast and below the knee
	thighSeen = contour{
		corner(192, 372), p(168, 424), p(154, 486), p(158, 552), p(178, 614), p(208, 668), corner(236, 696), p(266, 644), p(306, 594),
		corner(334, 570), p(346, 524), p(353, 474), corner(348, 408), p(322, 428), p(286, 438), p(246, 432), p(212, 410),
	}
	breastHalf = contour{
		corner(400, 550), p(360, 558), p(312, 588), p(266, 642), p(230, 714), p(208, 792), p(212, 870), p(242, 936), p(294, 980), p(348, 990), p(382, 976), corner(400, 956),
	}
	abdomenHalf = contour{corner(400, 404), p(362, 408), p(336, 424), p(318, 480), p(290, 560), p(250, 640), p(260, 700), corner(400, 700)}
	vent        = contour{p(400, 428), p(374, 438), p(362, 470), p(370, 508), p(400, 528), p(430, 508), p(438, 470), p(426, 438)}
	ventHole    = contour{p(402, 440), p(384, 449), p(374, 474), p(380, 504), p(401, 517), p(420, 502), p(427, 472), p(418, 448)}
	tailFront   = contour{p(400, 344), p(376, 354), p(362, 386), corner(350, 430), corner(450, 430), p(438, 386), p(424, 354)}
	neckFront   = contour{corner(346, 970), p(352, 1010), p(350, 1044), corner(352, 1068), p(372, 1084), p(400, 1088), p(428, 1084), corner(448, 1068), p(450, 1044), p(448, 1010), corner(454, 970), p(400, 950)}
	neckHole    = contour{p(366, 1064), p(382, 1050), p(400, 1046), p(418, 1050), p(434, 1064), p(420, 1078), p(400, 1082), p(380, 1078)}
	keelHalf    = contour{corner(400, 552), p(386, 566), p(376, 620), p(372, 720), p(376, 840), p(386, 930), corner(400, 956)}
)

// Contours of the back. The back proper ends at the border, where the pattern
// of the pits changes; beyond it lies the side of the breast.
var (
	backHalf = contour{
		corner(400, 462), p(366, 470), p(348, 520), p(332, 570), p(310, 612), p(300, 650), p(302, 700), p(302, 780), p(304, 860), p(314, 930), p(338, 984), corner(400, 1000),
	}
	torsoHalf = contour{
		corner(400, 440), p(352, 444), p(320, 480), p(284, 560), p(246, 642), p(220, 716), p(205, 792), p(210, 868), p(240, 934), p(292, 980), p(346, 998), corner(400, 1002),
	}
	thighBack = contour{
		corner(192, 368), p(168, 424), p(154, 486), p(158, 552), p(178, 614), p(206, 664), p(236, 682), p(276, 660),
		p(310, 616), p(332, 566), p(344, 508), p(350, 452), corner(346, 412), p(256, 404),
	}
	thighBackSeen = contour{
		corner(192, 372), p(168, 424), p(154, 486), p(158, 552), p(178, 614), p(206, 664), p(236, 682), p(276, 660),
		p(310, 616), p(332, 566), p(344, 508), p(350, 452), corner(348, 412), p(322, 428), p(286, 438), p(246, 432), p(212, 410),
	}
	thighBackOuter = contour{p(192, 368), p(168, 424), p(154, 486), p(158, 552), p(178, 614), p(206, 664), p(224, 678)}
	thighBackInner = contour{p(348, 430), p(348, 480), p(338, 540), p(312, 612), p(276, 660), p(240, 682)}
	border         = contour{p(296, 644), p(302, 700), p(302, 780), p(304, 860), p(314, 930), p(336, 976)}
	blade          = contour{p(356, 938), p(336, 900), p(330, 840), p(338, 770), corner(352, 716), p(352, 780), p(352, 850), p(366, 920)}
	tailBack       = contour{p(400, 336), p(376, 342), p(360, 368), p(352, 408), p(346, 450), p(366, 474), p(400, 482), p(434, 474), p(454, 450), p(448, 408), p(440, 368), p(424, 342)}
	neckBack       = contour{corner(350, 984), p(354, 1016), p(352, 1046), corner(354, 1070), p(376, 1082), p(400, 1084), p(424, 1082), corner(446, 1070), p(448, 1046), p(446, 1016), corner(450, 984), p(400, 968)}
)

// both closes a half contour, which starts and ends on the axis, with its mirror image.
func both(half contour) contour {
	m := half.mirrored(birdAxis)
	return append(append(contour{}, half...), m[1:len(m)-1]...)
}
