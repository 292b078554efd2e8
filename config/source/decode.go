package source

import (
	"errors"
	"fmt"
	"strings"

	"github.com/BurntSushi/toml"
)

// decode lets the TOML library read what the scanner accepted, and hangs the
// values on the index.
func decode(data string, root *node) (wrong *fault) {
	defer func() {
		// The library panics where it meets what it holds to be impossible.
		if r := recover(); r != nil {
			wrong = faultAt(span{}, Problem{Message: "the file is not TOML: " + firstLine(fmt.Sprint(r))})
		}
	}()
	var values map[string]any
	if _, err := toml.Decode(data, &values); err != nil {
		var parse toml.ParseError
		if !errors.As(err, &parse) {
			return faultAt(span{}, Problem{Message: "the file is not TOML: " + firstLine(err.Error())})
		}
		from := max(0, min(parse.Position.Start, len(data)))
		to := max(from+1, min(from+parse.Position.Len, len(data)))
		return faultAt(span{from, to}, Problem{
			Message:  firstLine(parse.Message),
			Expected: "TOML 1.0",
		})
	}
	attach(root, values)
	return nil
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return Visible(line)
}

// attach gives each node of the index its decoded value.
func attach(n *node, value any) {
	switch v := value.(type) {
	case map[string]any:
		for _, c := range n.order {
			attach(c, v[c.name])
		}
	case []any:
		for i, c := range n.order {
			attach(c, v[i])
		}
	case []map[string]any:
		for i, c := range n.order {
			attach(c, v[i])
		}
	default:
		n.data = value
	}
}
