package egg

import (
	"math"
	"strconv"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/rulebook"
)

// LargeEgg is what an egg weighs where nothing else is known: 2 oz (56.7 g),
// the average of a dozen that just makes Large.
const LargeEgg = 2 * amount.Ounce

// Area is a surface in hundredths of a square millimetre.
type Area int64

// squareCentimetre is 1 cm².
const squareCentimetre Area = 10_000

// String is the area to the nearest 0.1 cm²: "68.7 cm²".
func (a Area) String() string {
	tenths := (int64(a) + int64(squareCentimetre)/20) / (int64(squareCentimetre) / 10)
	return strconv.FormatInt(tenths/10, 10) + "." + strconv.FormatInt(tenths%10, 10) + " cm²"
}

// ShellFormula is the relation by which ShellOfWeight takes a shell, in cm² by
// grams.
var ShellFormula = Form{"shell", "3.9782 W^0.7056", "carter", rulebook.FromMemory, "For hens' eggs; other published relations differ by up to 4 per cent."}

// ShellOfWeight is the surface of the shell of a hen's egg by its weight, as
// ShellFormula says. It is none for no weight.
func ShellOfWeight(w amount.Weight) Area {
	if w <= 0 || w > amount.MaxWeight {
		return 0
	}
	return Area(whole(float64(squareCentimetre) * float64(3.9782*math.Pow(grams(w), 0.7056))))
}

// ShellOfSize is the surface of a shell by its length and breadth, taken as a
// prolate spheroid: an ellipse turned about its long axis. The longer of the two
// is the length. It fails with CodeSize for lengths that no egg has, none or
// over 1 m.
func ShellOfSize(length, breadth amount.Length) (Area, error) {
	if min(length, breadth) <= 0 || max(length, breadth) > 1000*amount.Millimetre {
		return 0, engine.New(CodeSize, "", length.Millimetres()+" by "+breadth.Millimetres()+" is no size of an egg", "measure length and breadth again")
	}
	a, b := millimetres(max(length, breadth))/2, millimetres(min(length, breadth))/2
	ratio := b / a
	e := math.Sqrt(1 - float64(ratio*ratio))
	bend := 1.0 // arcsin(e)/e, which is 1 for a sphere
	if e > 1e-6 {
		bend = math.Asin(e) / e
	}
	square := 2 * math.Pi * (float64(b*b) + float64(a*b*bend))
	return Area(whole(100 * square)), nil
}

// shareParts is how finely a computed share is kept: thousandths of a per cent.
const shareParts = 100_000

// SpotShare is the share of a shell under a round spot. The spot is a cap of
// the sphere with the same surface, and its width is taken along the shell, as
// a strip of paper laid over it would show; seen straight on, a spot of 1/32
// looks a fiftieth narrower than that. A share is rounded to the nearest 0.001
// per cent. It is none for no width, and the whole once the spot reaches around.
func SpotShare(width amount.Length, shell Area) amount.Share {
	if width <= 0 || shell <= 0 {
		return amount.Share{Num: 0, Den: 1}
	}
	angle := millimetres(width) / float64(4*radius(shell))
	if angle >= math.Pi/2 {
		return amount.Share{Num: 1, Den: 1}
	}
	sine := math.Sin(angle)
	return amount.Portion(whole(float64(shareParts*float64(sine*sine))), shareParts)
}

// SpotWidth is the width along the shell of a round spot that takes up a share
// of it, to the nearest 0.01 mm.
func SpotWidth(share amount.Share, shell Area) amount.Length {
	if share.Num <= 0 || share.Den <= 0 || shell <= 0 {
		return 0
	}
	sine := math.Sqrt(float64(share.Num) / float64(share.Den))
	width := float64(4*radius(shell)) * math.Asin(min(sine, 1))
	return amount.Length(whole(100*width)) * 10 * amount.Micrometre
}

// radius is that of the sphere with the surface, in millimetres.
func radius(shell Area) float64 { return math.Sqrt(float64(shell) / 100 / (4 * math.Pi)) }
