package job

import (
	"errors"
	"strings"
	"testing"

	"asleft/config/source"
)

// circuit is a right one, to be added to the least job.
const circuit = `[circuit.c1-03]
read-with = "lamp-5w"
volts = { out = 0, off = 0, acc = 0, run = 12.4, crank = 10.0 }
battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.5, crank = 10.2 }
`

// jobMistakes changes a right job in one place each, and says what must then be
// found and at which key.
var jobMistakes = []struct {
	name     string
	was, now string // replaced; was == "" adds now at the end
	at       string // the stretch of text that is marked
	message  string
}{
	{"one feed on two conductors that differ", "", circuit + `
[circuit.c1-07]
read-with = "lamp-5w"
volts = { out = 0, off = 0, acc = 0, run = 0, crank = 10.0 }
battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.5, crank = 10.2 }
[feed.second]
conductor = "c1-03"
[feed.more]
feed = "second"
conductor = "c1-07"
`, `"c1-07"`, "joined to two conductors that differ"},
	{"another kind of file", `"asleft/job/1"`, `"asleft/policy/1"`, `"asleft/policy/1"`, "another kind of file"},
	{"no schema", `schema = "asleft/job/1"`, "", "", "lacks `schema`"},
	{"no title", `title = "t"`, "", "", "lacks `title`"},
	{"day as text", "taken = 2026-11-20", `taken = "yesterday"`, `"yesterday"`, "wrong kind"},
	{"policy elsewhere", `by = "T.V."`, "by = \"T.V.\"\npolicy = \"../other.toml\"", `"../other.toml"`, "leads out"},
	{"policy of the machine", `by = "T.V."`, "by = \"T.V.\"\npolicy = \"/etc/x.toml\"", `"/etc/x.toml"`, "leads out"},
	{"policy on another drive", `by = "T.V."`, "by = \"T.V.\"\npolicy = 'C:\\x.toml'", `'C:\x.toml'`, "leads out"},
	{"profile elsewhere", `by = "T.V."`, "by = \"T.V.\"\nprofiles = [\"a/../../b.toml\"]", `["a/../../b.toml"]`, "leads out"},
	{"start path misspelt", `"feeds"`, `"feed"`, `"feed"`, "no word"},
	{"test twice", `by = "T.V."`, "by = \"T.V.\"\nproven = [\"a\", \"a\"]", `["a", "a"]`, "listed twice"},
	{"test that is no name", `by = "T.V."`, "by = \"T.V.\"\nproven = [\"A 1\"]", `["A 1"]`, "not a name"},
	{"no vehicle", "[vehicle]\n", "[vehicel]\n", "vehicel", "no key `vehicel`"},
	{"nominal voltage as text", "nominal-volts = 12", `nominal-volts = "12"`, `"12"`, "wrong kind"},
	{"gearbox misspelt", `"automatic"`, `"automatik"`, `"automatik"`, "no word"},
	{"gearbox in large letters", `"automatic"`, `"Automatic"`, `"Automatic"`, "large and small letters"},
	{"key misspelt", "label =", "lable =", "lable", "no key `lable`"},
	{"manual with a parking lock", `"automatic"`, "\"manual\"\nparking-lock = \"mechanical\"", `"mechanical"`, "no parking lock"},
	{"presses without a button", `"blade-key"`, "\"blade-key\"\nbutton-presses = 2", "2", "start button only"},
	{"electric with cylinders", `"diesel"`, "\"electric\"\ncylinders = 4", "4", "no cylinders"},
	{"nobody and children", `"diesel"`, "\"diesel\"\nleft-inside = [\"nobody\", \"children\"]", `["nobody", "children"]`, "beside others"},
	{"no identity", `plate = "TCW 014"`, "", "[vehicle.identity]", "no identity"},
	{"identity too long", `"TCW 014"`, `"` + strings.Repeat("x", 41) + `"`, `"` + strings.Repeat("x", 41) + `"`, "too long"},
	{"fact as a flag", "", "[vehicle.facts]\ntow-away = true\n", "true", "wrong kind"},
	{"fact that there is not", "", "[vehicle.facts]\ntow-awya = \"no\"\n", "tow-awya", "no key `tow-awya`"},
	{"intake answer", "", "[intake.asked]\nhorn-works = \"maybe\"\n", `"maybe"`, "no word"},
	{"intake reading", "", "[intake.readings]\nrest-volts = 126\n", "126", "out of range"},
	{"no device", "[device.controller]\nprofile = \"demo-alder\"\n", "", "", "names no device"},
	{"device without profile", "profile = \"demo-alder\"\n", "", "[device.controller]", "lacks `profile`"},
	{"device with an odd name", "[device.controller]", "[device.\"Con troller\"]", `[device."Con troller"]`, "not a name"},
	{"link to nobody", `"demo-alder"`, "\"demo-alder\"\n[device.link]\nprofile = \"demo-quartz\"\nlink-to = \"controler\"", `"controler"`, "no device of this name"},
	{"link to itself", `"demo-alder"`, "\"demo-alder\"\nlink-to = \"controller\"", `"controller"`, "joined to itself"},
	{"conductor by colour", "", strings.Replace(circuit, "c1-03", "red", 1), "[circuit.red]", "connector and cavity"},
	{"position left out", "", strings.Replace(circuit, "run = 12.4, ", "", 1), "{ out = 0, off = 0, acc = 0, crank = 10.0 }", "lacks `run`"},
	{"battery left out", "", strings.Replace(circuit, ", crank = 10.2", "", 1), "{ out = 12.6, off = 12.6, acc = 12.5, run = 12.5 }", "lacks `crank`"},
	{"position misspelt", "", strings.Replace(circuit, "acc = 0, ", "ac = 0, ", 1), "ac", "no key `ac`"},
	{"power state of a button car", "", strings.Replace(circuit, "off = 0", "awake = 0", 1), "{ out = 0, awake = 0, acc = 0, run = 12.4, crank = 10.0 }", "lacks `off`"},
	{"impossible pattern", "", strings.Replace(circuit, "off = 0", "off = 12.4", 1), "12.4", "no conductor has"},
	{"no instrument", "", strings.Replace(circuit, "read-with = \"lamp-5w\"\n", "", 1), "[circuit.c1-03]", "lacks `read-with`"},
	{"condition twice", "", circuit + "with = [\"selector-p\", \"selector-p\"]\n", `"selector-p"`, "twice"},
	{"feed to nothing", "", circuit + "[feed.main]\nconductor = \"c1-30\"\n", `"c1-30"`, "no measured conductor"},
	{"feed by colour", "", circuit + "[feed.main]\nconductor = \"red\"\n", `"red"`, "connector and cavity"},
	{"feed on an unknown side", "", circuit + "[feed.main]\nconductor = \"c1-03\"\nside = \"keyside\"\n", `"keyside"`, "no word"},
	{"output for no function", "", "[output.1]\nline = \"c4-01\"\nfunction = \"boot\"\n", `"boot"`, "no function of this name"},
	{"locks by link and wire", "", "[lock]\ncircuit = \"link\"\nlines = { lock = \"c3-01\" }\n", `{ lock = "c3-01" }`, "link and by wire"},
	{"driver line that there is not", "", "[lock]\ndriver-line = \"no\"\nlines = { unlock-driver = \"c3-01\" }\n", `"no"`, "one is named"},
	{"seconds the wrong way round", "", "[lock]\nseconds = [1.0, 0.4]\n", "[1.0, 0.4]", "not a range"},
	{"three seconds", "", "[lock]\nseconds = [0.1, 0.4, 1.0]\n", "[0.1, 0.4, 1.0]", "not a range"},
	{"alarm that there is not", "", "[factory-alarm]\nfitted = \"no\"\npulses = 2\n", `"no"`, "yet it is described"},
	{"signal misspelt", "", "[signal.break]\nsource = \"none\"\n", "[signal.break]", "no signal of this name"},
	{"signal without source", "", "[signal.brake]\nactive = \"battery\"\n", "[signal.brake]", "lacks `source`"},
	{"signal by nothing with a wire", "", "[signal.brake]\nsource = \"none\"\nline = \"c5-02\"\n", `"none"`, "yet its wire"},
	{"signal by link with a wire", "", "[signal.brake]\nsource = \"link\"\nline = \"c5-02\"\n", `"link"`, "link and by wire"},
	{"signal by wire without a level", "", "[signal.brake]\nsource = \"wire\"\n", `"wire"`, "level of the wire"},
	{"brake covers P", "", "[signal.brake]\nsource = \"link\"\ncovers = \"p-only\"\n", `"p-only"`, "only the park signal"},
	{"brake with pulses", "", "[signal.brake]\nsource = \"link\"\npulses = 2\n", "2", "only the engine speed"},
	{"brake taken at the lever", "", "[signal.brake]\nsource = \"link\"\ntaken-at = \"lever\"\n", `"lever"`, "no word"},
	{"speed by link from a coil", "", "[signal.engine-speed]\nsource = \"link\"\nkind = \"waste-spark\"\n", `"waste-spark"`, "do not fit"},
	{"park of a kind", "", "[signal.park]\nsource = \"link\"\nkind = \"speed\"\n", "kind", "no key `kind`"},
	{"opening seen by nothing", "", "[opening.driver]\nto-cabin = \"yes\"\nseen-by = \"door\"\n", `"door"`, "no signal of this name"},
	{"opening seen by what is not taken", "", "[opening.driver]\nto-cabin = \"yes\"\nseen-by = \"door\"\n[signal.door]\nsource = \"none\"\n", `"door"`, "not taken"},
	{"function on no remote", "", "[function.boot]\ndoes = \"boot\"\n", "[function.boot]", "on no remote"},
	{"function on a remote that there is not", "", "[function.boot]\ndoes = \"boot\"\non = { big = { use = \"daily\" } }\n", `{ use = "daily" }`, "no remote of this name"},
	{"function that does an odd thing", "", "[function.boot]\ndoes = \"bot\"\non = { big = { use = \"daily\" } }\n[remote.big]\nprofile = \"demo-wren\"\n", `"bot"`, "no word"},
	{"start of a boot", "", "[function.boot]\ndoes = \"boot\"\nat-start = \"on\"\non = { big = { use = \"daily\" } }\n[remote.big]\nprofile = \"demo-wren\"\n", "at-start", "no key `at-start`"},
	{"gesture wished twice", "", "[function.boot]\ndoes = \"boot\"\non.big = { use = \"daily\", gesture = \"both-hold\" }\n[function.gate]\ndoes = \"gate\"\non.big = { use = \"daily\", gesture = 'both-hold' }\n[remote.big]\nprofile = \"demo-wren\"\n", `'both-hold'`, "wished for boot already"},
	{"side door and ramp on one line", "", sharedLine(`does = "side-door"
moves = "yes"
when = ["park"]`, `does = "ramp"
moves = "yes"
when = ["park"]`), `'c7-11'`, "works one already"},
	{"one line, other guards", "", sharedLine(`does = "ramp"
moves = "yes"
when = ["park", "parking-brake"]`, `does = "ramp"
moves = "yes"
when = ["park"]`), `'c7-11'`, "without the guards of the other"},
	{"one line, nobody says that it does not move", "", sharedLine(`does = "boot"
moves = "no"`, `does = "boot"`), `'c7-11'`, "works one already"},
	{"current without a unit", "", "[function.boot]\ndoes = \"boot\"\ncurrent = 6\non = { big = { use = \"daily\" } }\n[remote.big]\nprofile = \"demo-wren\"\n", "6", "in amperes here"},
	{"current in another unit", "", "[lamps]\nmilliamperes = 5200\n", "5200", "in amperes here"},
	{"current as text", "", "[horn]\namperes = \"6 A\"\n", `"6 A"`, "wrong kind"},
	{"conductor through an odd thing", "", circuit + "[feed.main]\nconductor = \"c1-03\"\nthrough = \"rellay\"\nfuse-amperes = 20\n", `"rellay"`, "no word"},
	{"starter conductor through a relay", "", strings.Replace(circuit, "run = 12.4", "run = 0", 1) + "[feed.main]\nconductor = \"c1-03\"\nthrough = \"relay\"\nfuse-amperes = 20\n", `"relay"`, "its role is starter"},
	{"relay without the circuit's fuse", "", circuit + "[feed.main]\nconductor = \"c1-03\"\nthrough = \"relay\"\n", "[feed.main]", "fuse in the supply of the relay is not known"},
	{"relay with a larger fuse than the circuit", "", circuit + "fuse-amperes = 15\n[feed.main]\nconductor = \"c1-03\"\nthrough = \"relay\"\nfuse-amperes = 20\n", "20", "larger than that of the vehicle's own circuit"},
	{"output that switches an odd thing", "", "[output.6]\nline = \"c4-01\"\nswitches = \"fob-suply\"\n", `"fob-suply"`, "no word"},
	{"fob that releases nothing", "", "[output.6]\nline = \"c4-01\"\nswitches = \"fob-supply\"\n", `"fob-supply"`, "the immobiliser is not released by it"},
	{"two outputs switch the brake", "", "[output.5]\nline = \"c4-01\"\nswitches = \"simulated-brake\"\n[output.6]\nline = \"c4-02\"\nswitches = 'simulated-brake'\n", `'simulated-brake'`, "two outputs switch the simulated brake"},
	{"output that switches and works a function", "", "[output.6]\nline = \"c4-01\"\nfunction = \"boot\"\nswitches = \"simulated-brake\"\n", `"simulated-brake"`, "or switches something"},
	{"wish for no setting", "", "[wish.a]\nsetting = \"unlock.stepps\"\nvalue = \"all\"\n", `"unlock.stepps"`, "no setting of this name"},
	{"wish for an odd value", "", "[wish.a]\nsetting = \"unlock.steps\"\nvalue = \"al\"\n", `"al"`, "not a value"},
	{"wish out of range", "", "[wish.a]\nsetting = \"run.minutes\"\nvalue = 600\n", "600", "not a value"},
	{"wish without a value", "", "[wish.a]\nsetting = \"run.minutes\"\n", "[wish.a]", "lacks `value`"},
	{"wish of a device that there is not", "", "[wish.a]\ndevice = \"module\"\nsetting = \"run.minutes\"\nvalue = 10\n", `"module"`, "no device of this name"},
	{"limits without a rule", "", "[place]\nidle-minutes = 10\n", "[place]", "name of the rule"},
	{"alarm time of one number", "", "[place]\nordinance = \"x\"\nalarm-seconds = [30]\n", "[30]", "not a range"},
}

// sharedLine is two functions on one line of the vehicle.
func sharedLine(one, other string) string {
	return "\n[remote.big]\nprofile = \"demo-wren\"\n" +
		"[function.one]\nline = \"c7-11\"\n" + one + "\non = { big = { use = \"daily\" } }\n" +
		"[function.other]\nline = 'c7-11'\n" + other + "\non = { big = { use = \"daily\" } }\n"
}

// One line may open and close, and may work things that do not move.
func TestLinesThatAreShared(t *testing.T) {
	for name, text := range map[string]string{
		"open and close": sharedLine("does = \"side-door\"\ndirection = \"open\"\nmoves = \"yes\"\nwhen = [\"park\", \"door-open\"]",
			"does = \"side-door\"\ndirection = \"close\"\nmoves = \"yes\"\nwhen = [\"door-open\", \"park\"]"),
		"heated glass and seat": sharedLine("does = \"heated-glass\"\nmoves = \"no\"\nwhen = [\"running\"]", "does = \"heated-seat\"\nmoves = \"no\"\nwhen = [\"running\"]"),
	} {
		if _, err := Read("f", []byte(least+text)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestJobMistakes(t *testing.T) {
	for _, c := range jobMistakes {
		t.Run(c.name, func(t *testing.T) {
			text := least + c.now
			if c.was != "" {
				text = strings.Replace(least, c.was, c.now, 1)
			}
			_, err := Read("f", []byte(text))
			if !holds(err, c.at, c.message) {
				t.Errorf("want %q at %q, got\n%v", c.message, c.at, err)
			}
		})
	}
}

// holds reports a mistake with the message that marks the stretch of text; ""
// stands for the whole file.
func holds(err error, at, message string) bool {
	var found source.Problems
	if !errors.As(err, &found) {
		return false
	}
	for _, p := range found {
		marked := ""
		if p.Pos.Line > 0 {
			letters := []rune(p.Line)
			marked = string(letters[p.Pos.Col-1 : min(len(letters), p.Pos.Col-1+p.Width)])
		}
		if strings.Contains(p.Message, message) && marked == at {
			return true
		}
	}
	return false
}

// TestAllMistakesAtOnce: one run shows what is wrong everywhere.
func TestAllMistakesAtOnce(t *testing.T) {
	text := strings.Replace(least, `"automatic"`, `"automatik"`, 1) +
		strings.Replace(circuit, "off = 0", "off = 12.4", 1) +
		"[signal.break]\nsource = \"wire\"\n[wish.a]\nsetting = \"unlock.stepps\"\nvalue = 1\ndevice = \"contrller\"\n[plaec]\n"
	_, err := Read("f", []byte(text))
	for _, part := range []string{"automatik", "no conductor has", "no signal", "unlock.stepps", "contrller", "plaec"} {
		if err == nil || !strings.Contains(err.Error(), part) {
			t.Errorf("nothing about %s", part)
		}
	}
	var found source.Problems
	errors.As(err, &found)
	for i := 1; i < len(found); i++ {
		if found[i].Pos.Line < found[i-1].Pos.Line {
			t.Errorf("%v comes before %v", found[i-1].Pos, found[i].Pos)
		}
	}
}
