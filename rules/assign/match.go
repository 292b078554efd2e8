package assign

import (
	"slices"
	"strings"
)

// Named is a function as customers may ask for it.
type Named struct {
	Name            string   // in the job, "kerb-side-door"
	Words           []string // the owner's own words
	Does, Direction string
}

// Matched is what a question means.
type Matched struct {
	Names   []string // functions that fit best, in the caller's order; several when the question fits several
	Ask     string   // a question to ask back before answering; empty when the meaning is clear
	Read    string   // how the question was read where a word was mistyped: "kerb side door"; empty otherwise
	Unknown []string // words that name nothing here, when nothing fits
}

// Match finds the functions that a customer's words mean: in the owner's own words first, then in
// those of words.toml; upper and lower case, plurals, accents, hyphens and small slips of typing do
// not matter. An empty question means all functions.
//
// "Passenger side" is the kerb side where the passenger sits at the kerb: it depends on the side of
// the road the country drives on (drivingSide, "left" or "right") in the same way as the words left
// and right do; without knowing it Match asks. "Driver's side" likewise.
func Match(question string, functions []Named, drivingSide string) Matched {
	l := spoken()
	words := plainWords(question)
	words, ask := sides(words, drivingSide)
	asked := l.things(words)
	if len(asked) == 0 && ask == "" {
		return Matched{Names: namesOf(functions)}
	}
	m := Matched{Ask: ask}
	read, changed := l.read(asked, functions)
	m.Names = best(read, functions, &l)
	if len(m.Names) == 0 {
		m.Names = best(l.nearest(read), functions, &l)
	}
	if changed && len(m.Names) > 0 {
		m.Read = strings.ReplaceAll(strings.Join(read, " "), "-", " ")
	}
	if len(m.Names) == 0 {
		m.Unknown = asked
	}
	return m
}

func namesOf(functions []Named) []string {
	var names []string
	for _, f := range functions {
		names = append(names, f.Name)
	}
	return names
}

// sides turns passenger side, driver's side, left and right into kerb side and road side. In a car
// built for its country the passenger sits at the kerb, whichever side that is; a word that names
// left or right, and a passenger side in a country not told, are asked about.
func sides(words []string, drivingSide string) (out []string, ask string) {
	for i := 0; i < len(words); i++ {
		w := words[i]
		next := i+1 < len(words) && words[i+1] == "side"
		kerb := ""
		switch {
		case (w == "passenger" || w == "driver") && next && drivingSide == "":
			ask = "On which side of the road does the vehicle drive, left or right? Its " + w + " side depends on it."
			kerb = w
		case w == "passenger" && next:
			kerb = "kerb"
		case w == "driver" && next:
			kerb = "road"
		case (w == "left" || w == "right") && drivingSide == "":
			ask = "On which side of the road does the vehicle drive, left or right? The kerb is there."
			kerb = w
		case (w == "left" || w == "right") && w == drivingSide:
			kerb = "kerb"
		case w == "left" || w == "right":
			kerb = "road"
		default:
			out = append(out, w)
			continue
		}
		if next {
			i++
		}
		if kerb == "kerb" || kerb == "road" {
			out = append(out, kerb, "side")
		}
	}
	return out, ask
}

// vocabulary is every word by which one of the functions can be called.
func (l *lexicon) vocabulary(functions []Named) []string {
	var all []string
	for _, f := range functions {
		for _, p := range l.phrases(f) {
			all = append(all, p...)
		}
	}
	for _, p := range l.same {
		all = append(append(all, p.thing), p.words...)
	}
	return all
}

// phrases are the ways of calling a function, as things.
func (l *lexicon) phrases(f Named) [][]string {
	texts := append(slices.Clone(f.Words), f.Name, f.Does)
	var out [][]string
	for _, t := range texts {
		words := plainWords(t)
		out = append(out, l.things(words))
	}
	return out
}

// read puts mistyped words right, by the words that there are here; changed tells whether any was.
func (l *lexicon) read(asked []string, functions []Named) (read []string, changed bool) {
	all := l.vocabulary(functions)
	for _, w := range asked {
		if slices.Contains(all, w) {
			read = append(read, w)
			continue
		}
		best, least := w, 3
		for _, v := range all {
			if alike(w, v) && slips(w, v) < least {
				best, least = v, slips(w, v)
			}
		}
		changed = changed || best != w
		read = append(read, best)
	}
	if changed {
		read = l.things(splitThings(read))
	}
	return read, changed
}

// splitThings takes the names of things apart, so that corrected words can make a phrase.
func splitThings(things []string) []string {
	var words []string
	for _, t := range things {
		words = append(words, plainWords(t)...)
	}
	return words
}

// nearest says what people may have meant by things that are not there.
func (l *lexicon) nearest(asked []string) []string {
	var out []string
	for _, w := range asked {
		out = append(out, l.near[w]...)
	}
	return out
}

// best gives the functions that the most of the asked words fit; none when no word does.
func best(asked []string, functions []Named, l *lexicon) []string {
	var names []string
	most := 0
	for _, f := range functions {
		score := 0
		for _, phrase := range l.phrases(f) {
			score = max(score, fit(asked, phrase))
		}
		if score > most {
			names, most = nil, score
		}
		if score == most && score > 0 {
			names = append(names, f.Name)
		}
	}
	return names
}

// fit is high when the asked words are those of the phrase: the same is best, then all of the asked
// words in it, then some of them.
func fit(asked, phrase []string) int {
	hits := 0
	for _, w := range asked {
		if slices.Contains(phrase, w) {
			hits++
		}
	}
	switch {
	case hits == 0:
		return 0
	case hits == len(asked) && hits == len(phrase):
		return 300
	case hits == len(asked):
		return 200 + hits
	}
	return hits
}
