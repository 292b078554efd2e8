package record

// Kind is what an entry tells.
type Kind string

// The kinds of entry.
const (
	Opened     Kind = "opened"      // the vehicle came in: intake, consent, keys presented
	Found      Kind = "found"       // settings as found, before a tool is lifted
	Measured   Kind = "measured"    // circuits measured, with conditions
	Derived    Kind = "derived"     // settings required by the rules of that day
	Refused    Kind = "refused"     // what the rules refused, with rule and cure
	Keyed      Kind = "keyed"       // settings that were keyed in
	Left       Kind = "left"        // settings as left
	States     Kind = "states"      // states that are no settings: valet, learned speed, keys
	Fitted     Kind = "fitted"      // parts: serials, firmware, place, joins, fuses
	Tested     Kind = "tested"      // one commissioning test with its reading
	Shown      Kind = "shown"       // a person was shown something, or a secret was shown
	HandedOver Kind = "handed-over" // which sheet was handed over
	Note       Kind = "note"        // anything else, attributes included
	Comeback   Kind = "comeback"    // the vehicle came back with a complaint
	Observed   Kind = "observed"    // this works, that does not
	Cause      Kind = "cause"       // the cause that was found
	Corrected  Kind = "corrected"   // puts an older entry right; both stay
	Erased     Kind = "erased"      // personal values removed
	Closed     Kind = "closed"      // the job, or the comeback, is closed
	SameAs     Kind = "same-as"     // two subjects are one vehicle
)

// KindInfo says what an entry of a kind must carry.
type KindInfo struct {
	Kind    Kind
	Title   string   // one line for a listing
	Needs   []string // data keys that must be there
	Roles   []string // documents of which one must be there
	Reason  bool     // a reason must be given
	Points  bool     // must point to an older entry of the same vehicle
	Vehicle bool     // is about a vehicle
}

// Kinds lists the kinds in the order of a job.
func Kinds() []KindInfo {
	return []KindInfo{
		{Kind: Opened, Title: "vehicle came in", Vehicle: true},
		{Kind: Found, Title: "settings as found", Roles: []string{"found"}, Vehicle: true},
		{Kind: Measured, Title: "circuits measured", Vehicle: true},
		{Kind: Derived, Title: "settings required", Roles: []string{"required"}, Vehicle: true},
		{Kind: Refused, Title: "refused", Needs: []string{"rule"}, Vehicle: true},
		{Kind: Keyed, Title: "settings keyed", Vehicle: true},
		{Kind: Left, Title: "settings as left", Roles: []string{"left"}, Vehicle: true},
		{Kind: States, Title: "states noted", Vehicle: true},
		{Kind: Fitted, Title: "parts fitted", Vehicle: true},
		{Kind: Tested, Title: "test", Needs: []string{"test", "result"}, Vehicle: true},
		{Kind: Shown, Title: "shown to a person", Needs: []string{"what"}, Vehicle: true},
		{Kind: HandedOver, Title: "sheet handed over", Needs: []string{"sheet"}, Vehicle: true},
		{Kind: Note, Title: "note"},
		{Kind: Comeback, Title: "came back with a complaint", Needs: []string{"complaint"}, Vehicle: true},
		{Kind: Observed, Title: "observed", Vehicle: true},
		{Kind: Cause, Title: "cause found", Needs: []string{"cause"}, Vehicle: true},
		{Kind: Corrected, Title: "correction", Reason: true, Points: true, Vehicle: true},
		{Kind: Erased, Title: "personal values erased", Reason: true, Vehicle: true},
		{Kind: Closed, Title: "closed", Vehicle: true},
		{Kind: SameAs, Title: "same vehicle as", Needs: []string{"same-as"}, Vehicle: true},
	}
}

// KindNamed finds a kind by its word.
func KindNamed(word string) (KindInfo, bool) {
	for _, k := range kinds {
		if string(k.Kind) == word {
			return k, true
		}
	}
	return KindInfo{}, false
}

var kinds = Kinds()
