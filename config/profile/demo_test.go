package profile

import (
	"os"
	"testing"
)

func TestDemoDevicesReadClean(t *testing.T) {
	files, err := os.ReadDir("devices")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		data, err := os.ReadFile("devices/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Read(f.Name(), data); err != nil {
			t.Errorf("%s:\n%v", f.Name(), err)
		}
	}
}
