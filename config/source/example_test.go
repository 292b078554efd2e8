package source_test

import (
	"fmt"

	"asleft/config/source"
)

func Example() {
	text := `schema = "asleft/job/1"
[vehicle]
yaer = 2021
fuel = "deisel"
`
	doc, err := source.Parse("van.toml", []byte(text))
	if err != nil {
		fmt.Println(err)
		return
	}
	root := doc.Root()
	root.Text("schema")
	vehicle := root.Sub("vehicle", source.Required("[vehicle]"))
	vehicle.Whole("year", 1950, 2100)
	vehicle.Word("fuel", []string{"petrol", "diesel"}, source.Required(`fuel = "diesel"`))
	vehicle.Close()
	root.Close()
	fmt.Println(doc.Problems())
	// Output:
	// van.toml:3:1: [vehicle] has no key `yaer`
	//     3 | yaer = 2021
	//       | ^^^^
	//        nearest: year
	// van.toml:4:8: `fuel` has no word "deisel"
	//     4 | fuel = "deisel"
	//       |        ^^^^^^^^
	//        expected: one of petrol, diesel
	//        found: "deisel"
	//        nearest: diesel
	//        example: fuel = "diesel"
}
