package source

import (
	"strings"
	"testing"
)

func TestReadEverythingAtOnce(t *testing.T) {
	doc, err := Parse("van.toml", []byte("\xef\xbb\xbfschema = \"asleft/job/1\"\r\n[vehicle]\r\n\tyaer = 2021\r\n\tfuel = \"deisel\"\r\nnote = \"日本\"; \r\n"))
	if err == nil {
		t.Fatal(doc.Problems())
	}
	t.Log("\n" + err.Error())
	doc, err = Parse("van.toml", []byte("schema = \"asleft/job/1\"\r\n[vehicle]\r\n\tyaer = 2021\r\n\tfuel = \"deisel\"\r\nFeet=1\r\n[circuit.a]\nvolts = {\"日本\" = '日本', x = 3.5}\n"))
	if err != nil {
		t.Fatal(err)
	}
	r := doc.Root()
	r.Text("schema")
	v := r.Sub("vehicle")
	v.Whole("year", 1900, 2100, Required("year = 2021"))
	v.Whole("feet", 1, 2)
	v.Word("fuel", []string{"petrol", "diesel"})
	v.Close()
	for _, c := range r.Each("circuit") {
		volts := c.Sub("volts")
		volts.Number("日本", 0, 5)
		volts.Number("x", 0, 3)
		volts.Close()
		c.Close()
	}
	r.Close()
	text := doc.Problems().Error()
	if !strings.Contains(text, "van.toml:3:2:") {
		t.Error("no position of yaer")
	}
	t.Log("\n" + text)
}
