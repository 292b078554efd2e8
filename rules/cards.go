package rules

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/config/source"
	"asleft/rules/derive"
	"asleft/rules/keying"
)

// key plans the cards of all devices that are keyed, modules first: a controller looks for its
// signals on a link whose form must stand before.
func (o *Outcome) key() error {
	if !o.Gate.Open {
		return nil
	}
	var problems source.Problems
	for _, kind := range []profile.Kind{profile.Module, profile.Controller} {
		for _, d := range o.Devices {
			if d.Profile.Kind != kind || len(d.Profile.Options) == 0 {
				continue
			}
			cards, err := o.cards(d)
			var cannot *keying.CannotHold
			switch {
			case errors.As(err, &cannot) && o.options.Found != nil:
				problems = append(problems, o.options.Found.Doc.Problem(source.Problem{Message: cannot.Error()}, "device", d.Name))
			case err != nil:
				return err
			default:
				o.Cards = append(o.Cards, cards...)
			}
		}
	}
	if len(problems) > 0 {
		return problems
	}
	o.Work = o.orderOfWork()
	return nil
}

// cards makes the card of one device. Where the start goes by link and is still to be proven there
// are two: the link's inputs must be there for the proof, so the start cannot be unplugged; it is
// keyed off on the first card and keyed on by a second one, after the refusals have passed.
func (o *Outcome) cards(d Device) ([]Card, error) {
	machine, err := keying.Compile(d.Name, d.Profile)
	if err != nil {
		return nil, err
	}
	target := o.target(d.Name)
	start := o.start(d)
	path := setting.Key{Device: d.Name, Setting: "start.path"}
	waits := o.Derived.Start == derive.ToBeProven && o.value("start.path") == "link" &&
		slices.Contains(d.Profile.Values(path.Setting), "none")
	if !waits {
		return o.audibly(d, machine, start, target)
	}
	held := with(target, path, "none")
	cards, err := o.audibly(d, machine, start, held)
	if err != nil {
		return nil, err
	}
	second, err := o.planned(d, machine, held, target)
	second.Later = "only after every input has been proven by its walk; then the refusals at once"
	return append(cards, second), err
}

// audibly makes the card, or two where the device was found with its feedback switched off and
// values that are not known: the first gives the feedback back, so that the second can be followed.
func (o *Outcome) audibly(d Device, machine *keying.Device, start, target setting.Snapshot) ([]Card, error) {
	card, err := o.planned(d, machine, start, target)
	if err != nil || len(card.Remaining) == 0 {
		return []Card{card}, err
	}
	heard := unsilenced(d, start)
	if len(heard) == 0 {
		return []Card{card}, nil
	}
	wanted := mustSnapshot(heard)
	first, err := o.planned(d, machine, start, wanted)
	if err != nil || len(first.Remaining) > 0 {
		return []Card{card}, err
	}
	from := start
	for _, r := range heard {
		from = with(from, r.Key, r.Value)
	}
	second, err := o.planned(d, machine, from, target)
	if err != nil || len(second.Remaining) >= len(card.Remaining) {
		return []Card{card}, err
	}
	first.Purpose = "gives the device's answers back, which were found switched off"
	return []Card{first, second}, nil
}

// unsilenced is, for each option found at a value that switches feedback off, the first of its
// values that does not.
func unsilenced(d Device, start setting.Snapshot) []setting.Reading {
	var out []setting.Reading
	for _, option := range d.Profile.Options {
		if option.How != "keyed" || !silentNow(d.Name, option, start) {
			continue
		}
		i := slices.IndexFunc(option.Values, func(v profile.OptionValue) bool { return len(v.Silences) == 0 })
		if i < 0 {
			continue
		}
		for _, name := range sortedNames(option.Values[i].Is) {
			out = append(out, setting.Reading{
				Key: setting.Key{Device: d.Name, Setting: name}, Value: setting.Value(option.Values[i].Is[name]),
				Status: setting.StatusKnown, Origin: setting.OriginKeyed,
			})
		}
	}
	return out
}

// silentNow reports whether the option is known to stand at a value that switches feedback off.
func silentNow(device string, option profile.Option, start setting.Snapshot) bool {
	return slices.ContainsFunc(option.Values, func(v profile.OptionValue) bool {
		if len(v.Silences) == 0 {
			return false
		}
		for _, name := range sortedNames(v.Is) {
			r, ok := start.Get(setting.Key{Device: device, Setting: name})
			if !ok || r.Status != setting.StatusKnown || string(r.Value) != v.Is[name] {
				return false
			}
		}
		return true
	})
}

func sortedNames(m map[string]string) []string { return slices.Sorted(maps.Keys(m)) }

// with replaces one value of a snapshot.
func with(s setting.Snapshot, key setting.Key, value setting.Value) setting.Snapshot {
	readings := slices.Clone(s.Readings)
	for i := range readings {
		if readings[i].Key == key {
			readings[i].Value = value
		}
	}
	return mustSnapshot(readings)
}

// target is what the device must be set to: everything derived for it that has a value.
func (o *Outcome) target(device string) setting.Snapshot {
	var readings []setting.Reading
	for _, s := range o.Derived.Settings {
		worksSo := s.Action == derive.Fixed || s.Action == derive.Absent
		if s.Key.Device == device && s.Value != "" && s.Kind != derive.NotApplicable && !worksSo {
			readings = append(readings, setting.Reading{Key: s.Key, Value: s.Value, Status: setting.StatusKnown, Origin: setting.OriginKeyed})
		}
	}
	return mustSnapshot(readings)
}

// start is where the device stands: as found, or at its factory values. What an as-found file does
// not speak of is not known.
func (o *Outcome) start(d Device) setting.Snapshot {
	var readings []setting.Reading
	if f := o.options.Found; f != nil {
		for _, r := range f.Snapshot.Readings {
			if r.Device == d.Name {
				readings = append(readings, r)
			}
		}
		return mustSnapshot(readings)
	}
	return mustSnapshot(factoryOf(d))
}

// Factory is what all devices of the job hold when they come from the factory.
func (o *Outcome) Factory() setting.Snapshot {
	var readings []setting.Reading
	for _, d := range o.Devices {
		if d.Profile.Kind != profile.Remote {
			readings = append(readings, factoryOf(d)...)
		}
	}
	return mustSnapshot(readings)
}

func factoryOf(d Device) []setting.Reading {
	var readings []setting.Reading
	factory := d.Profile.Factory()
	for _, name := range d.Profile.Settings() {
		if v, ok := factory[name]; ok {
			readings = append(readings, setting.Reading{
				Key: setting.Key{Device: d.Name, Setting: name}, Value: v,
				Status: setting.StatusKnown, Origin: setting.OriginFactory,
			})
		}
	}
	return readings
}

func mustSnapshot(readings []setting.Reading) setting.Snapshot {
	s, err := setting.NewSnapshot(readings, nil)
	if err != nil {
		panic(fmt.Sprintf("values out of a checked profile or file: %v", err))
	}
	return s
}

// circumstances is what the job and the car add to the device.
func (o *Outcome) circumstances(d Device, target setting.Snapshot) keying.Circumstances {
	j := o.Job
	c := keying.Circumstances{
		StartButton: j.Vehicle.StartControl == "button", ButtonPresses: j.Vehicle.ButtonPresses,
		Manual:  j.Vehicle.Gearbox == "manual",
		NoStart: !j.Start, Linked: j.StartPath == "link",
		Senders: o.senders(),
	}
	i := slices.IndexFunc(j.Devices, func(x job.Device) bool { return x.Name == d.Name })
	c.Wired, c.Straps = o.paths(j.Devices[i]), j.Devices[i].Straps
	required := map[string]setting.Value{}
	for _, r := range target.Readings {
		required[r.Setting] = r.Value
	}
	c.Order = safetyOrder{ranks: o.input.Base.Order, required: required}
	return c
}

// paths are the ways by which the device is worked and answers in this job: those that the job
// lists, and those that follow from what is joined: the foot brake by its signal, the ignition by a
// feed (a feed's conductor is also where the device sees the key), the supply always.
func (o *Outcome) paths(d job.Device) []string {
	paths := append(slices.Clone(d.Wired), "supply")
	if len(o.Job.Feeds) > 0 || o.signal("key-in") {
		paths = append(paths, "ignition")
	}
	if o.signal("brake") {
		paths = append(paths, "brake")
	}
	return paths
}

// signal reports whether the install takes the signal at all.
func (o *Outcome) signal(name string) bool {
	return slices.ContainsFunc(o.Job.Signals, func(s job.Signal) bool { return s.Name == name && s.Source != "none" && s.Source != "" })
}

// senders says for each channel what hands do to send it, on the first remote that can without
// being taught: keying comes before teaching.
func (o *Outcome) senders() map[int]string {
	out := map[int]string{}
	for _, r := range o.Job.Remotes {
		p := o.profile(r.Name)
		gestures := slices.Clone(p.Gestures)
		slices.SortStableFunc(gestures, func(a, b profile.Gesture) int { return a.Ease - b.Ease })
		for _, g := range gestures {
			if _, had := out[g.Channel]; !had && g.Channel != 0 {
				out[g.Channel] = fmt.Sprintf("on the %s remote, %s", r.Name, handsOn(p, g))
			}
		}
	}
	return out
}

// handsOn says a gesture in the marks printed on the remote.
func handsOn(p *profile.Profile, g profile.Gesture) string {
	var marks []string
	for _, b := range p.Buttons {
		if slices.Contains(g.Buttons, b.Name) {
			marks = append(marks, b.Mark)
		}
	}
	text := "press " + strings.Join(marks, " and ")
	if g.HoldSeconds > 0 {
		text = fmt.Sprintf("hold %s for %g s", strings.Join(marks, " and "), g.HoldSeconds)
	} else if g.Presses == 2 {
		text += " twice"
	}
	return text
}

func (o *Outcome) profile(name string) *profile.Profile {
	for _, d := range o.Devices {
		if d.Name == name {
			return d.Profile
		}
	}
	return nil
}

// orderOfWork is the order after wiring, with what each step needs; the steps that this job does
// not have are left out. Common practice, no source.
func (o *Outcome) orderOfWork() []string {
	j := o.Job
	start := o.Derived.Start != derive.NotWanted
	linked := j.StartPath == "link"
	key := "the key"
	if j.Vehicle.StartControl == "button" {
		key = "the start button"
	}
	output := "starter output"
	if j.StartPath == "button-line" {
		output = "start line"
	}
	var work []string
	add := func(when bool, text string) {
		if when {
			work = append(work, text)
		}
	}
	add(true, "Maintainer on the battery, hood open, stored fault codes noted.")
	add(o.has(profile.Module), "Interface module: link form first, then the vehicle type, then take its power away and give it again.")
	add(len(j.Remotes) > 0, "Pair the remotes: pairing often erases others, so all of them now.")
	add(!start, "Key the options as on the cards.")
	add(start && linked, "Key the options as on the cards; remote start by link stays keyed off until the refusals have passed.")
	add(start && !linked, "Key the options as on the cards; the "+output+" stays unplugged until the refusals have passed.")
	add(j.Release != "" && j.Release != "none", "Learn the immobiliser keys: network awake, other keys and fobs out of the car, doors shut.")
	add(true, "Start the engine by "+key+", with every key that was presented.")
	add(start && o.value("engine-speed.learn") == "warm-idle", "Learn engine speed: engine started by "+key+", warm idle, consumers off. Only then the first remote start.")
	add(true, "Walk the inputs: each at rest, active, at rest.")
	add(start && !linked, "Show that the feeds rise on a start gesture; then the refusals, hood open and brake held, with a meter on the unplugged "+output+".")
	add(start && !linked, "Plug the "+output+" in; first remote start with a foot above the brake.")
	add(start && linked, "Key remote start on by the second card; the refusals at once, hood open and brake held, before any other start; first remote start with a foot above the brake.")
	add(start, "Shut-down tests.")
	add(true, "Locks and functions.")
	add(true, "Impact sensor last, in the closed car, with the trim back.")
	add(true, "Read the fault codes again, then hand over.")
	return work
}

func (o *Outcome) has(kind profile.Kind) bool {
	return slices.ContainsFunc(o.Devices, func(d Device) bool { return d.Profile.Kind == kind })
}

// value is the derived value of a setting on whichever device has it.
func (o *Outcome) value(name string) setting.Value {
	for _, s := range o.Derived.Settings {
		if s.Key.Setting == name && s.Action != derive.Absent {
			return s.Value
		}
	}
	return ""
}
