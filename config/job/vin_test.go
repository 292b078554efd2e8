package job

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// TestCheckDigit has the worked examples of the regulation and of its guide:
// 49 CFR 565.15(c), Tables III to V (1G4AH59H_5G118341, sum 411, digit 4), and
// NHTSA, Outline for New Manufacturer Information, page 18 (sum 314, digit 6).
// 11111111111111111 is the usual self-test (sum 89).
func TestCheckDigit(t *testing.T) {
	for vin, sum := range map[string]int{
		"1G4AH59H45G118341": 411,
		"1J9RP1A36A1644345": 314,
		"11111111111111111": 89,
		"00000000000000000": 0,
	} {
		got := 0
		for i := range 17 {
			v, ok := vinValue(vin[i])
			if !ok {
				t.Errorf("%s: no value for %c", vin, vin[i])
			}
			got += v * vinWeights[i]
		}
		if got != sum || checkDigit(vin) != vin[8] {
			t.Errorf("%s: sum %d, digit %c", vin, got, checkDigit(vin))
		}
	}
	if got := checkDigit("12345678901234567"); got != '7' {
		t.Errorf("12345678901234567 wants %c, not 7", got)
	}
}

// TestEverySingleSlip: one sign changed is found, as far as modulo 11 can: not
// where both signs have the same value (Table III gives A, J and 1 the same).
func TestEverySingleSlip(t *testing.T) {
	const signs = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"
	for _, vin := range []string{"1G4AH59H45G118341", "HZZCR4BAXMT000417", "HZZHA6DX8KT000052"} {
		for i := range 17 {
			for _, s := range signs {
				changed := vin[:i] + string(s) + vin[i+1:]
				was, _ := vinValue(vin[i])
				is, _ := vinValue(byte(s))
				if i == 8 && !strings.ContainsRune("0123456789X", s) {
					continue
				}
				found := checkDigit(changed) != changed[8]
				if i != 8 && found != (was != is) || i == 8 && found != (changed != vin) {
					t.Errorf("%s for %s: found %v", changed, vin, found)
				}
			}
		}
	}
}

// TestYearCodes has Table VII of 49 CFR 565.15(d)(1) for 1988 to 2003 as
// onlinerepair.org lists it, and from 2004 to 2039 as the constants of
// davidpeckham/vin list it.
func TestYearCodes(t *testing.T) {
	early := "JKLMNPRSTVWXY123" // 1988 to 2003
	for i := range early {
		if !slices.Contains(modelYears(early[i]), 1988+i) {
			t.Errorf("%c is not %d", early[i], 1988+i)
		}
	}
	late := "456789ABCDEFGHJKLMNPRSTVWXY123456789" // 2004 to 2039
	for i := range late {
		if !slices.Contains(modelYears(late[i]), 2004+i) {
			t.Errorf("%c is not %d", late[i], 2004+i)
		}
	}
	for _, s := range "IOQUZ0" {
		if modelYears(byte(s)) != nil {
			t.Errorf("%c is a year", s)
		}
	}
}

func TestVINInAJob(t *testing.T) {
	for _, c := range []struct {
		name, vin string
		year      int
		refused   string // part of the mistake
		warns     string // part of the warning
	}{
		{"right", "HZZCR4BAXMT000417", 2021, "", ""},
		{"small letters", "hzzcr4baxmt000417", 2021, "", ""},
		{"model year runs ahead", "HZZCR4BAXMT000417", 2020, "", ""},
		{"30 years earlier", "HZZCR4BAXMT000417", 1991, "", ""},
		{"another year", "HZZCR4BAXMT000417", 2016, "", "2021"},
		{"check digit does not fit", "HZZCR4BA1MT000417", 2021, "", "check digit"},
		{"no year code", "HZZCR4BA50T000417", 0, "", "no year code"},
		{"too short", "HZZCR4BAXMT00041", 2021, "17 signs", ""},
		{"too long", "HZZCR4BAXMT0004170", 2021, "17 signs", ""},
		{"letter O", "HZZCR4BAXMTO00417", 2021, "position 12", ""},
		{"letter I", "HZZCR4BAXMT00041I", 2021, "position 17", ""},
		{"letter Q", "QZZCR4BAXMT000417", 2021, "position 1 ", ""},
		{"a blank", "HZZCR4BAXMT 00417", 2021, "position 12", ""},
		{"another alphabet", "HZZCR4BАXMT00041", 2021, "position 8", ""},
	} {
		text := strings.Replace(least, `plate = "TCW 014"`, fmt.Sprintf("vin = %q", c.vin), 1)
		if c.year != 0 {
			text = strings.Replace(text, `label = "the white minibus"`, fmt.Sprintf("label = \"x\"\nyear = %d", c.year), 1)
		}
		j, err := Read("f", []byte(text))
		switch {
		case c.refused != "":
			if err == nil || !strings.Contains(err.Error(), c.refused) {
				t.Errorf("%s: %v", c.name, err)
			}
		case err != nil:
			t.Errorf("%s: %v", c.name, err)
		case (len(j.Warnings) > 0) != (c.warns != "") || !strings.Contains(j.Warnings.Error(), c.warns):
			t.Errorf("%s: %v", c.name, j.Warnings)
		}
	}
}
