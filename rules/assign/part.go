package assign

// Part is one relay or diode with both of its ends. Terminal marks of relays are those printed
// on plug-in relays in the sense of ISO 7588-1: 85 and 86 coil, 30 common, 87 make, 87a break.
// (In DIN 72552 the number 87 of a change-over relay means its input; that sense is not used here.)
type Part struct {
	ID          string // "K1" relay, "D1" diode, counted through the plan
	Kind        string // "relay" or "diode"
	Recipe      string // word id of the recipe, "sink-on-positive-line"
	Title       string // what the part is for, in words
	Type        string // what to take off the shelf
	Function    string // function it serves
	Output      string // controller output at one end, empty for a permission contact
	Line        string // vehicle line at the other end, connector-cavity
	Terminals   []Terminal
	Coil        Coil    // relays only
	Contact     Contact // relays only
	Suppression Suppression
	Notes       []string // orientation, level left on the line, what to measure first
}

// Terminal is one end of a part and what it is joined to.
type Terminal struct {
	Mark string  // "86", or "anode" and "band" of a diode
	To   string  // "controller output aux-2", "c3-07", "battery +", "ground"
	Fuse float64 // amperes of the fuse in this conductor, 0 without
	Note string  // "series resistor as measured"
}

// Coil is the load of a relay's coil on the output that drives it.
type Coil struct {
	Ohms      float64 // nominal at 20 C
	Milliamps int     // worst case: charging voltage, coil at its low tolerance, cold where the vehicle works in the cold
	Rating    int     // mA that the driver may carry; 0 where a contact drives it
	Share     int     // mA of all that hangs on the same output together
}

// Contact is what a relay's contact carries against what it may.
type Contact struct {
	Amps   float64 // current of the line while worked, 0 when not measured
	Rating float64 // of the contact used, make or break, at 85 C
	Break  bool    // the break contact carries it
}

// Suppression says what keeps the coil's kick away from the output.
type Suppression struct {
	Kind      string // "diode", "diode-with-zener", "none"
	Band      string // terminal to which the band points, "86"
	ReleaseMS [2]int // release time of the relay with it, ms from and to (common practice, no source)
}
