package job

import (
	"fmt"
	"strings"

	"asleft/config/source"
)

// readVehicle reads [vehicle].
func (j *Job) readVehicle(t *source.Table) Vehicle {
	defer t.Close()
	v := Vehicle{
		Label:         t.Text("label", source.Required(`label = "the white minibus"`)),
		Year:          t.Whole("year", 1950, 2100),
		NominalVolts:  t.Whole("nominal-volts", 6, 48, source.Required("nominal-volts = 12")),
		Gearbox:       known(t, "gearbox", gearboxes, source.Required(`gearbox = "automatic"`)),
		ParkingLock:   known(t, "parking-lock", parkingLocks),
		Fuel:          known(t, "fuel", fuels, source.Required(`fuel = "diesel"`)),
		Cylinders:     t.Whole("cylinders", 1, 16),
		StartControl:  known(t, "start-control", startControls, source.Required(`start-control = "blade-key"`)),
		ButtonPresses: t.Whole("button-presses", 1, 9),
		CrankBy:       known(t, "crank-by", crankers),
		Immobiliser:   known(t, "immobiliser", immobilisers),
		Alternator:    known(t, "alternator", alternators),
		IdleStop:      yesNo(t, "idle-stop"),
		OpenTop:       yesNo(t, "open-top"),
		WorkEquipment: known(t, "work-equipment", workEquipment),
		Parked:        known(t, "parked", parkings),
		LeftOutOfPark: yesNo(t, "can-be-left-out-of-park"),
		Occupants:     t.Words("left-inside", occupants),
		KeysPresented: t.Whole("keys-presented", 0, 20),
		UnlockSteps:   known(t, "unlock-steps", ownSteps),
		Works:         known(t, "coldest", coldest),
		DrivingSide:   known(t, "driving-side", sides),
		Batteries:     t.Whole("batteries", 1, 4),
	}
	v.Identity = j.readIdentity(t.Sub("identity"), v.Year)
	v.Facts = readFacts(t.Sub("facts"))
	j.checkVehicle(t, v)
	return v
}

// readFacts reads [vehicle.facts].
func readFacts(t *source.Table) map[string]string {
	defer t.Close()
	out := map[string]string{}
	for _, f := range vehicleFacts {
		if w := yesNo(t, f); w != "" {
			out[f] = w
		}
	}
	return out
}

// readIdentity reads the ways to tell the vehicle from others. One is enough.
func (j *Job) readIdentity(t *source.Table, year int) map[string]string {
	defer t.Close()
	out := map[string]string{}
	for _, k := range identities {
		s := t.Text(k)
		if s == "" {
			continue
		}
		out[k] = s
		if len(s) > 40 {
			t.Fault(k, source.Problem{Message: fmt.Sprintf("`%s` is too long", k), Expected: "at most 40 letters"})
		}
		if k == "vin" {
			j.checkVIN(t, strings.ToUpper(s), year)
		}
	}
	if len(out) == 0 {
		t.Fault("", source.Problem{
			Message:  "the vehicle has no identity",
			Expected: "one of " + strings.Join(identities, ", ") + " under [vehicle.identity]",
			Example:  `plate = "TCW 014"`,
		})
	}
	return out
}

// checkVehicle refuses what no vehicle can be.
func (j *Job) checkVehicle(t *source.Table, v Vehicle) {
	if v.StartControl == "button" && v.ButtonPresses == 0 {
		j.warn(source.Problem{
			Message: "how many presses without brake switch the ignition on is not written down",
			Example: "button-presses = 2",
		}, "vehicle")
	}
	if v.StartControl != "" && v.StartControl != "button" && v.ButtonPresses != 0 {
		t.Fault("button-presses", source.Problem{
			Message:  "presses are counted on a start button only",
			Expected: fmt.Sprintf("no such line with start-control = %q", v.StartControl),
		})
	}
	if v.Fuel == "electric" && v.Cylinders != 0 {
		t.Fault("cylinders", source.Problem{Message: "an electric vehicle has no cylinders", Expected: "no such line"})
	}
	if v.Gearbox == "manual" && v.ParkingLock != "" && v.ParkingLock != "none" {
		t.Fault("parking-lock", source.Problem{
			Message:  "a manual gearbox has no parking lock",
			Expected: `"none", or no such line`,
			Found:    v.ParkingLock,
		})
	}
	if len(v.Occupants) > 1 {
		for _, o := range v.Occupants {
			if o == "nobody" {
				t.Fault("left-inside", source.Problem{Message: `"nobody" stands beside others`, Expected: `["nobody"] alone, or who may be left inside`})
			}
		}
	}
}

// readIntake reads [intake].
func readIntake(t *source.Table) Intake {
	defer t.Close()
	in := Intake{By: t.Text("by"), Notes: t.Texts("notes"), Asked: map[string]string{}, Numbers: map[string]float64{}}
	asked := t.Sub("asked")
	defer asked.Close()
	for _, q := range intakeQuestions {
		if w := asked.Word(q, []string{"yes", "no", "not-checked"}); w != "" {
			in.Asked[q] = w
		}
	}
	numbers := t.Sub("readings")
	defer numbers.Close()
	for _, n := range intakeNumbers {
		if numbers.Has(n.name) {
			in.Numbers[n.name] = numbers.Number(n.name, n.min, n.max)
		}
	}
	return in
}
