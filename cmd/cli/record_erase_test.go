package cli

import (
	"bytes"
	"encoding/base64"
	"encoding/hex"
	"strings"
	"testing"
)

// A vehicle's life with everything personal that a job file and a person can give, then an erasure:
// no file that the tool owns holds any of it, in any spelling; the copies made before are named; every
// proof still holds, also that of an extract made before.
func TestErasedFromEveryFile(t *testing.T) {
	w := lived(t)
	w.must("record", "keep", "bus 1", "--personal", "phone=555-0143", "--personal", "customer=Quendolin Arve", "--by", "T.V.")
	w.must("record", "note", "bus 1", "Quendolin Arve, 555-0143, waits in the yard", "--by", "T.V.", "--reason", "plate TCW-404 and phone 555-0143")
	w.must("record", "extract", "bus 1", w.dir+"/before.extract", "--by", "T.V.")
	w.must("record", "export", w.dir+"/before.export", "--personal", "--by", "T.V.")
	vin, plate := vinAndPlate(t, w)
	needles := spellings("555-0143", "Quendolin Arve", "Q.X.", vin, plate)
	e := w.must("record", "erase", "bus 1", "--personal", "--reason", "asked for by the owner", "--by", "T.V.")
	for _, copied := range []string{"before.extract", "before.export", "base.book"} {
		if !strings.Contains(e.out, copied) {
			t.Errorf("%s, made before, is not named: %s", copied, e.out)
		}
	}
	if out := folderState(t, w.dir)["before.export"]; !bytes.Contains(out, []byte("Quendolin Arve")) || !bytes.Contains(out, []byte(vin)) {
		t.Error("the export made before does not hold what is searched for: the search has no teeth")
	}
	files := 0
	for name, data := range folderState(t, w.dir) {
		if strings.HasPrefix(name, "before.") || name == "base.book" || name == "other.export" {
			continue // out of the record's reach, and named as such
		}
		files++
		for text, needle := range needles {
			if bytes.Contains(bytes.ToLower(data), bytes.ToLower([]byte(needle))) {
				t.Errorf("%s stands in %s", text, name)
			}
		}
	}
	if files < 4 {
		t.Errorf("only %d files were searched", files)
	}
	for _, line := range [][]string{{"record", "log", "bus 1"}, {"record", "show", "bus 1"}, {"record", "list"}, {"which", "bus 1", "ramp"}, {"status"}} {
		for _, format := range []string{"table", "json"} {
			a := w.run(append(line, "--format", format)...)
			for text, needle := range needles {
				if strings.Contains(a.out+a.err, needle) {
					t.Errorf("%v shows %s", line, text)
				}
			}
		}
	}
	if v := w.run("record", "verify"); v.status != Done {
		t.Errorf("verify: %d %s%s", v.status, v.out, v.err)
	}
	if v := w.run("record", "verify", w.dir+"/before.extract"); v.status != NoWitness {
		t.Errorf("the extract made before: %d %s%s", v.status, v.out, v.err)
	}
	for _, word := range []string{plate, vin, vin[len(vin)-8:]} {
		if a := w.run("record", "show", word); a.status != NotFound {
			t.Errorf("still found by %s: %d", word, a.status)
		}
	}
}

// vinAndPlate reads what the job says of its vehicle.
func vinAndPlate(t *testing.T, w *workshop) (vin, plate string) {
	t.Helper()
	for _, line := range strings.Split(string(jobText(t, w)), "\n") {
		name, value, _ := strings.Cut(line, "=")
		switch strings.TrimSpace(name) {
		case "vin":
			vin = strings.Trim(strings.TrimSpace(value), `"`)
		case "plate":
			plate = strings.Trim(strings.TrimSpace(value), `"`)
		}
	}
	if len(vin) < 8 || plate == "" {
		t.Fatalf("the job names no VIN (%q) or plate (%q)", vin, plate)
	}
	return vin, plate
}

func jobText(t *testing.T, w *workshop) []byte {
	t.Helper()
	data, err := readFile(w.line("$JOBS/minibus.toml")[0])
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// spellings are texts as they stand, without what separates, in hexadecimal and in base64.
func spellings(texts ...string) map[string]string {
	out := map[string]string{}
	for _, text := range texts {
		bare := strings.NewReplacer(" ", "", "-", "", ".", "").Replace(text)
		out[text] = text
		out[text+" in hexadecimal"] = hex.EncodeToString([]byte(text))
		if len(bare) >= 6 {
			out[text+" bare"] = bare
			out[text+" in base64"] = base64.StdEncoding.EncodeToString([]byte(text))[:len(text)]
		}
	}
	return out
}
