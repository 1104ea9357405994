package grading_test

import (
	"fmt"

	"keelcard/engine/amount"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
)

// A broiler with a bare patch on its breast and one joint out.
func ExampleGrade() {
	book, _ := rulebook.ByID("carcass-youth")
	long := 3 * amount.Inch / 4
	share := amount.Share{Num: 1, Den: 3}
	verdict, err := grading.Grade(book,
		grading.Setting{Kind: "chicken", Weight: 4 * amount.Pound},
		[]grading.Finding{
			{Defect: "bare-flesh", Site: "breast", Length: &long, Share: &share},
			{Defect: "disjoint", Site: "hip-left"},
		})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("grade", verdict.Grade)
	for _, r := range verdict.Set {
		fmt.Printf("%s, %s: %s, %s allows %s\n", r.FactorName, r.PartName, r.Amount, r.Limit.Grade, r.Limit.Most)
	}
	for _, d := range verdict.Differ {
		fmt.Printf("%s with %s=%s\n", d.Grade, d.Choice, d.Option)
	}
	// Output:
	// grade B
	// longest cut, tear or bare spot on breast or leg, breast: 3/4 in (19.05 mm), A allows 1/4 in
	// C with at-third=less-than
}
