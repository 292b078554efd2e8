package job

import (
	"slices"
	"testing"

	"asleft/config/setting"
	"asleft/config/source"
)

// TestWordsAgree: what a job says in the words of a setting, it says in the
// words of the vocabulary.
func TestWordsAgree(t *testing.T) {
	for _, c := range []struct {
		setting string
		words   []string
	}{
		{"start.path", startPaths}, {"crank.by", crankers}, {"immobiliser.release", releases}, {"lamps.drive", lampDrives},
		{"link.form", linkForms}, {"factory-alarm.disarm-on", setOffs}, {"factory-alarm.rearm-on", rearms},
		{"aux.1.when", interlocks}, {"brake.source", sources}, {"brake.active", actives},
	} {
		f, ok := setting.Find(c.setting)
		if !ok {
			t.Errorf("no setting %s", c.setting)
			continue
		}
		a, b := slices.Sorted(slices.Values(f.Words)), slices.Sorted(slices.Values(c.words))
		if !slices.Equal(a, b) {
			t.Errorf("%s: the vocabulary has %v, a job %v", c.setting, a, b)
		}
	}
	feeds, _ := setting.Find("feed.main.role")
	for _, role := range []string{RoleHeld, RoleDropped, RoleStarter, RoleKeyIn} {
		if !slices.Contains(feeds.Words, role) {
			t.Errorf("a feed has no role %s", role)
		}
	}
}

// TestWordsAreNames: every word that people must write has the shape of a name,
// comes once in its list, and is not so like another that a slip could mean
// both.
func TestWordsAreNames(t *testing.T) {
	for _, words := range [][]string{
		startPaths, releases, identities, gearboxes, parkingLocks, fuels, startControls, crankers, immobilisers, alternators,
		workEquipment, parkings, occupants, ownSteps, coldest, sides, lockKinds, lockLines, lampDrives, lampLines, bulbs,
		hornActives, disarmers, setOffs, rearms, linkForms, joinedPaths, cannots, feedSides, methods, conditions, instruments,
		switchings, sources, actives, covers, openingTaken, does, directions, lineActives, keeps, interlocks, uses, alarmLamps,
		vehicleFacts, intakeQuestions, signalNames(),
	} {
		for i, w := range words {
			if !word(w) {
				t.Errorf("%q is not a name", w)
			}
			if slices.Contains(words[:i], w) {
				t.Errorf("%q comes twice in %v", w, words)
			}
			if near := source.Nearest(w, words); near != w {
				t.Errorf("%q is taken for %q", w, near)
			}
		}
	}
}
