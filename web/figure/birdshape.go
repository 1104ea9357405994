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
	drumstick = trace(`
		c252,92 250,112 256,134 252,164 232,206 206,258 190,316 188,362 204,402 244,432 296,436 334,410 350,358
		350,306 338,252 318,202 304,164 300,134 304,112 c302,92 290,78 277,84 264,78`)
	drumstickOuter = trace("252,92 250,112 256,134 252,164 232,206 206,258 190,316 188,352 190,376")
	drumstickInner = trace("302,92 304,112 300,134 304,164 318,202 338,252 350,306 351,350 346,384 338,404")
	thigh          = trace(`
		c192,368 168,424 154,486 158,552 178,614 208,668 246,694 286,664 318,606 340,540 352,474 350,420 322,396
		256,404`)
	drumette = trace("266,812 228,788 186,772 148,750 118,730 92,734 82,760 96,788 122,812 150,848 182,890 220,918 256,914 278,868")
	// what is seen of it beside the body
	drumetteSeen = trace("c214,778 186,772 148,750 118,730 92,734 82,760 96,788 122,812 150,848 182,890 c224,916 210,868 206,800")
	flat         = trace("88,740 66,784 50,846 42,908 50,946 76,958 102,946 116,912 126,866 132,822 128,784 112,750")
	tip          = trace("46,928 42,964 52,1004 74,1046 102,1080 c126,1096 134,1066 132,1028 124,992 114,960 100,936 72,926")
	thumb        = trace("c102,934 118,940 c126,962 110,960 c98,950")
	// the skin that spans from the shoulder to the wrist
	web = trace("c112,780 160,830 220,880 c250,914 196,904 144,912 110,936 c92,950 110,880")
)

// Contours of the front.
var (
	// what is seen of the thigh beside the breast and below the knee
	thighSeen = trace(`
		c192,372 168,424 154,486 158,552 178,614 208,668 c236,696 266,644 306,594 c334,570 346,524 353,474 c348,408
		322,428 286,438 246,432 212,410`)
	breastHalf  = trace("c400,550 360,558 312,588 266,642 230,714 208,792 212,870 242,936 294,980 348,990 382,976 c400,956")
	abdomenHalf = trace("c400,404 362,408 336,424 318,480 290,560 250,640 260,700 c400,700")
	vent        = trace("400,428 374,438 362,470 370,508 400,528 430,508 438,470 426,438")
	ventHole    = trace("402,440 384,449 374,474 380,504 401,517 420,502 427,472 418,448")
	tailFront   = trace("400,344 376,354 362,386 c350,430 c450,430 438,386 424,354")
	neckFront   = trace("c346,970 352,1010 350,1044 c352,1068 372,1084 400,1088 428,1084 c448,1068 450,1044 448,1010 c454,970 400,950")
	neckHole    = trace("366,1064 382,1050 400,1046 418,1050 434,1064 420,1078 400,1082 380,1078")
	keelHalf    = trace("c400,552 386,566 376,620 372,720 376,840 386,930 c400,956")
)

// Contours of the back. The back proper ends at the border, where the pattern
// of the pits changes; beyond it lies the side of the breast.
var (
	backHalf  = trace("c400,462 366,470 348,520 332,570 310,612 300,650 302,700 302,780 304,860 314,930 338,984 c400,1000")
	torsoHalf = trace("c400,440 352,444 320,480 284,560 246,642 220,716 205,792 210,868 240,934 292,980 346,998 c400,1002")
	thighBack = trace(`
		c192,368 168,424 154,486 158,552 178,614 206,664 236,682 276,660 310,616 332,566 344,508 350,452 c346,412
		256,404`)
	thighBackSeen = trace(`
		c192,372 168,424 154,486 158,552 178,614 206,664 236,682 276,660 310,616 332,566 344,508 350,452 c348,412
		322,428 286,438 246,432 212,410`)
	thighBackOuter = trace("192,368 168,424 154,486 158,552 178,614 206,664 224,678")
	thighBackInner = trace("348,430 348,480 338,540 312,612 276,660 240,682")
	border         = trace("296,644 302,700 302,780 304,860 314,930 336,976")
	blade          = trace("356,938 336,900 330,840 338,770 c352,716 352,780 352,850 366,920")
	tailBack       = trace("400,336 376,342 360,368 352,408 346,450 366,474 400,482 434,474 454,450 448,408 440,368 424,342")
	neckBack       = trace("c350,984 354,1016 352,1046 c354,1070 376,1082 400,1084 424,1082 c446,1070 448,1046 446,1016 c450,984 400,968")
)

// both closes a half contour, which starts and ends on the axis, with its mirror image.
func both(half contour) contour {
	m := half.mirrored(birdAxis)
	return append(append(contour{}, half...), m[1:len(m)-1]...)
}
