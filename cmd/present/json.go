package present

import (
	"encoding/json"
	"io"
)

// JSON writes a view. Its first key is "schema": "asleft/NAME/1"; keys keep their meaning within a
// schema number, and new ones may come.
func JSON(w io.Writer, view any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(view)
}
