package job_test

import (
	"fmt"
	"os"

	"asleft/config/job"
)

// The role of each conductor follows from its readings, and says why.
func ExampleRead() {
	data, err := os.ReadFile("../../testdata/jobs/minibus.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	j, err := job.Read("minibus.toml", data)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range j.Circuits[2:6] {
		fmt.Printf("%s %s: %s\n", c.Name, c.Role, c.Because)
	}
	// Output:
	// c1-03 held: on in RUN (12.2 of 12.4 V) and CRANK (9.9 of 10.2 V); off in OUT, OFF and ACC
	// c1-04 held: on in ACC (12.3 of 12.5 V), RUN (12.2 of 12.4 V) and CRANK (9.8 of 10.2 V); off in OUT and OFF
	// c1-05 dropped: on in RUN (12.1 of 12.4 V); off in OUT, OFF, ACC and CRANK
	// c1-06 starter: on in CRANK (10.0 of 10.2 V); off in OUT, OFF, ACC and RUN
}
