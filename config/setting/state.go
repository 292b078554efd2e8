package setting

// State is something a device remembers that no option sets. States are never
// keyed and always recorded, as found and as left.
type State struct {
	Name      string
	Title     string
	Kind      Kind
	Words     []string
	Unit      string
	Min, Max  float64
	Places    int
	WhenWrong string // what it looks like on the vehicle when it is not as believed
}

// States returns all states, in the order of listings.
func States() []State {
	out := make([]State, len(states))
	copy(out, states)
	return out
}

// FindState returns the state of that name.
func FindState(name string) (State, bool) {
	for _, s := range states {
		if s.Name == name {
			return s, true
		}
	}
	return State{}, false
}

// Parse gives the canonical value of a state; the error is a *ValueError.
func (s State) Parse(text string) (Value, error) { return s.family().Parse(text) }

// Expected says in words what the state can be.
func (s State) Expected() string { return s.family().Expected() }

func (s State) family() Family {
	return Family{Pattern: s.Name, Title: s.Title, Kind: s.Kind, Words: s.Words,
		Unit: s.Unit, Min: s.Min, Max: s.Max, Places: s.Places}
}

var states = []State{
	{Name: "valet", Title: "valet state", Kind: KindWord, Words: onOff,
		WhenWrong: "on: locks and panic work, everything else is dead; off in a car wash: it can start by itself"},
	{Name: "learned-hz", Title: "learned engine speed at warm idle", Kind: KindNumber, Unit: "Hz", Min: 0, Max: 5000, Places: 1, Words: []string{"none"},
		WhenWrong: "starter held in too long or let go too soon, starts and stops after seconds"},
	{Name: "paired-remotes", Title: "number of paired remotes", Kind: KindNumber, Min: 0, Max: 32,
		WhenWrong: "a remote is dead although its lamp lights: a later pairing erased it; one too many: a lost remote still opens"},
	{Name: "learned-keys", Title: "number of vehicle keys the module has learned", Kind: KindNumber, Min: 0, Max: 16,
		WhenWrong: "starts and dies within seconds although speed is seen"},
	{Name: "run-counter", Title: "remote starts since the key was last used", Kind: KindNumber, Min: 0, Max: 1000,
		WhenWrong: "at its limit: no reaction to the start gesture while locks work"},
	{Name: "exit-proof", Title: "exit proof of a manual gearbox", Kind: KindWord, Words: []string{"not-made", "being-made", "vacated", "cancelled"},
		WhenWrong: "start always refused; vacated although the vehicle stands in gear would be a danger"},
	{Name: "firmware", Title: "firmware version", Kind: KindText,
		WhenWrong: "options or vehicle types missing that the papers list"},
}
