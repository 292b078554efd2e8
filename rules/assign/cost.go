package assign

import (
	"cmp"
	"fmt"
)

// aimNames are the fields of Cost in words, one and many.
var aimNames = [8][2]string{
	{"function not reached", "functions not reached"}, {"gesture to sign for", "gestures to sign for"},
	{"thing the output cannot do by itself", "things the outputs cannot do by themselves"},
	{"relay", "relays"}, {"diode", "diodes"}, {"gesture unlike on another remote", "gestures unlike on another remote"},
	{"point of effort", "points of effort"}, {"option to key", "options to key"},
}

// Vector is the cost as numbers, in the order of comparing.
func (c Cost) Vector() [8]int {
	return [8]int{c.NotReached, c.ToSign, c.Lacking, c.Relays, c.Diodes, c.Unlike, c.Effort, c.Options}
}

// Compare is negative when c is the better, positive when d is, 0 when they are equal.
func (c Cost) Compare(d Cost) int {
	a, b := c.Vector(), d.Vector()
	for i := range a {
		if a[i] != b[i] {
			return cmp.Compare(a[i], b[i])
		}
	}
	return 0
}

// Worse says in words the first thing in which d is worse than c, "equal in everything", or the
// first thing in which it is better.
func (c Cost) Worse(d Cost) string {
	a, b := c.Vector(), d.Vector()
	for i := range a {
		if n := b[i] - a[i]; n != 0 {
			word, names := "more", aimNames[i]
			if n < 0 {
				word, n = "fewer", -n
			}
			if n == 1 {
				return fmt.Sprintf("1 %s %s", names[0], word)
			}
			return fmt.Sprintf("%d %s %s", n, names[1], word)
		}
	}
	return "equal in everything"
}
