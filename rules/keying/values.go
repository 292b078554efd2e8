package keying

import (
	"fmt"
	"slices"

	"asleft/config/setting"
)

// CannotHold is a snapshot that the device cannot hold: no value of an option agrees with it.
type CannotHold struct {
	Option string
	Key    setting.Key
	Value  setting.Value
	Can    []setting.Value // what the option can make of this setting
}

// Error names the setting, the value and what the device can hold.
func (e *CannotHold) Error() string {
	return fmt.Sprintf("%s = %s: the device cannot hold it; option %s has %v", e.Key, e.Value, e.Option, e.Can)
}

// Values reads the value of each keyed option out of a snapshot; -1 where it does not decide
// between several. The error is a *CannotHold.
func (d *Device) Values(s setting.Snapshot) ([]int8, error) {
	values := make([]int8, len(d.Machine.Options))
	for i, o := range d.Machine.Options {
		fit := d.fitting(o, s)
		switch len(fit) {
		case 0:
			return nil, d.cannotHold(o, s)
		case 1:
			values[i] = int8(fit[0])
		default:
			values[i] = -1
		}
	}
	return values, nil
}

// fitting lists the values of an option that contradict nothing known.
func (d *Device) fitting(o Option, s setting.Snapshot) []int {
	var fit []int
	for v, value := range o.Values {
		agrees := true
		// order-free: all must agree
		for name, is := range value.Is {
			r, ok := s.Get(setting.Key{Device: d.Name, Setting: name})
			agrees = agrees && (!ok || r.Status != setting.StatusKnown || r.Value == is)
		}
		if agrees {
			fit = append(fit, v)
		}
	}
	return fit
}

func (d *Device) cannotHold(o Option, s setting.Snapshot) *CannotHold {
	e := &CannotHold{Option: o.ID}
	for _, name := range o.settings() {
		r, ok := s.Get(setting.Key{Device: d.Name, Setting: name})
		if !ok || r.Status != setting.StatusKnown {
			continue
		}
		can := o.makes(name)
		e.Key, e.Value, e.Can = r.Key, r.Value, can
		if !slices.Contains(can, r.Value) {
			return e
		}
	}
	return e
}

// settings lists the settings that an option decides, in the order of the vocabulary.
func (o Option) settings() []string {
	var names []string
	for _, v := range o.Values {
		names = append(names, sortedKeys(v.Is)...)
	}
	slices.SortFunc(names, setting.Compare)
	return slices.Compact(names)
}

// makes lists the values that an option can give a setting, in the order of the device.
func (o Option) makes(name string) []setting.Value {
	var can []setting.Value
	for _, v := range o.Values {
		if is, ok := v.Is[name]; ok && !slices.Contains(can, is) {
			can = append(can, is)
		}
	}
	return can
}

// Snapshot turns values into readings with one origin; options whose value is not known give
// readings of unknown.
func (d *Device) Snapshot(values []int8, origin setting.Origin) (setting.Snapshot, error) {
	held := map[setting.Key]setting.Reading{}
	for i, o := range d.Machine.Options {
		for _, name := range o.settings() {
			k := setting.Key{Device: d.Name, Setting: name}
			r := setting.Reading{Key: k, Status: setting.StatusUnknown}
			if values[i] >= 0 {
				if is, ok := o.Values[values[i]].Is[name]; ok {
					r = setting.Reading{Key: k, Status: setting.StatusKnown, Value: is, Origin: origin}
				}
			}
			if old, ok := held[k]; !ok || old.Status != setting.StatusKnown {
				held[k] = r
			}
		}
	}
	readings := make([]setting.Reading, 0, len(held))
	// order-free: NewSnapshot sorts
	for _, r := range held {
		readings = append(readings, r)
	}
	return setting.NewSnapshot(readings, nil)
}

// Need is one keyed option with the values that the requirement accepts.
type Need struct {
	Option int
	Accept []int
}

// Needs finds the options that the target decides. Required settings that no value of an
// option can bring about come back as Remaining, with how they are entered instead.
func (d *Device) Needs(target setting.Snapshot) (needs []Need, remaining []Remaining) {
	covered := map[string]bool{}
	for i, o := range d.Machine.Options {
		asked := false
		for _, name := range o.settings() {
			r, ok := target.Get(setting.Key{Device: d.Name, Setting: name})
			if ok && r.Status == setting.StatusKnown {
				asked, covered[name] = true, true
			}
		}
		if !asked {
			continue
		}
		fit := d.fitting(o, target)
		if len(fit) == 0 {
			remaining = append(remaining, d.notHeld(o, target)...)
			continue
		}
		needs = append(needs, Need{Option: i, Accept: fit})
	}
	for _, o := range d.Profile.Options {
		if o.How != "keyed" {
			for _, v := range o.Values {
				for name := range v.Is {
					covered[name] = true
				}
			}
		}
	}
	for _, r := range target.Readings {
		if r.Device != d.Name || r.Status != setting.StatusKnown || covered[r.Setting] {
			continue
		}
		if fixed, ok := d.Profile.Fixed[r.Setting]; ok && setting.Value(fixed) == r.Value {
			continue
		} else if ok {
			remaining = append(remaining, Remaining{Key: r.Key, Want: r.Value, Why: "the device always works by " + fixed, How: "another device, or a requirement that the device can meet"})
			continue
		}
		remaining = append(remaining, Remaining{Key: r.Key, Want: r.Value, Why: "the device has no option for it", How: "another device, or by hand in the vehicle"})
	}
	slices.SortStableFunc(remaining, func(a, b Remaining) int { return setting.CompareKeys(a.Key, b.Key) })
	return needs, remaining
}

func (d *Device) notHeld(o Option, target setting.Snapshot) []Remaining {
	e := d.cannotHold(o, target)
	return []Remaining{{Key: e.Key, Want: e.Value, Why: fmt.Sprintf("option %s can only be %v", o.ID, e.Can), How: "another device, or a requirement that the device can meet"}}
}
