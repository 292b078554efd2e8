package job

import (
	"fmt"
	"strings"

	"asleft/config/source"
)

// Vehicle identification numbers. Sources: 49 CFR 565.13 (17 characters, no
// I, O or Q), 565.15(c) (check digit, Tables III to V), 565.15(d)(1) and Table
// VII (model year in position 10). The check digit is asked for in North
// America only, and published lists hold real vehicles that fail it: it warns.

// vinWeights are the weights by position (565.15(c)(2), Table IV); the check
// digit's own is 0.
var vinWeights = [17]int{8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2}

// vinValue is the number that a letter stands for (565.15(c)(1), Table III);
// false for a sign that no number may hold.
func vinValue(c byte) (int, bool) {
	if c >= '0' && c <= '9' {
		return int(c - '0'), true
	}
	const letters, values = "ABCDEFGHJKLMNPRSTUVWXYZ", "12345678123457923456789"
	if i := strings.IndexByte(letters, c); i >= 0 {
		return int(values[i] - '0'), true
	}
	return 0, false
}

// checkDigit is what position 9 should be (565.15(c)(3), (4)); vin must hold 17
// signs that are allowed.
func checkDigit(vin string) byte {
	sum := 0
	for i := range 17 {
		v, _ := vinValue(vin[i])
		sum += v * vinWeights[i]
	}
	return "0123456789X"[sum%11]
}

// yearCodes are the codes of 1980 to 2009, and again of 2010 to 2039 (Table
// VII). I, O, Q, U, Z and 0 are not used.
const yearCodes = "ABCDEFGHJKLMNPRSTVWXY123456789"

// modelYears are the two years a code can mean; nil for a sign that is none.
func modelYears(code byte) []int {
	i := strings.IndexByte(yearCodes, code)
	if i < 0 {
		return nil
	}
	return []int{1980 + i, 2010 + i}
}

// checkVIN refuses what cannot be a number, and warns of what looks like a
// slip in writing one down.
func (j *Job) checkVIN(t *source.Table, vin string, year int) {
	if len(vin) != 17 {
		t.Fault("vin", source.Problem{
			Message:  "a VIN has 17 signs",
			Expected: "17 letters and digits; another number of the vehicle goes under stock-number or fleet-number",
			Found:    fmt.Sprintf("%d signs", len([]rune(vin))),
		})
		return
	}
	for i := range 17 {
		if _, ok := vinValue(vin[i]); !ok {
			t.Fault("vin", source.Problem{
				Message:  fmt.Sprintf("position %d of the VIN cannot be %q", i+1, vin[i:i+1]),
				Expected: "digits, and letters without I, O and Q (1 and 0 are meant)",
				Found:    vin,
			})
			return
		}
	}
	if want := checkDigit(vin); vin[8] != want {
		j.warn(source.Problem{
			Message:  "the VIN's check digit does not fit: look at the plate again",
			Expected: fmt.Sprintf("%c in position 9, if the vehicle is from a market that asks for it", want),
			Found:    string(vin[8]),
		}, "vehicle", "identity", "vin")
	}
	j.checkYear(vin, year)
}

// checkYear compares the year code with the year written down. Model years run
// ahead of calendar years, so one year either way is no slip.
func (j *Job) checkYear(vin string, year int) {
	years := modelYears(vin[9])
	if years == nil {
		j.warn(source.Problem{
			Message:  "position 10 of the VIN is no year code: look at the plate again",
			Expected: "a letter without I, O, Q, U, Z, or a digit without 0, if the vehicle is from a market that asks for it",
			Found:    vin[9:10],
		}, "vehicle", "identity", "vin")
		return
	}
	if year == 0 {
		return
	}
	for _, y := range years {
		if year >= y-1 && year <= y+1 {
			return
		}
	}
	j.warn(source.Problem{
		Message:  "the VIN's year code and the year do not fit: look at the plate again",
		Expected: fmt.Sprintf("%d or %d", years[0], years[1]),
		Found:    fmt.Sprint(year),
	}, "vehicle", "year")
}
