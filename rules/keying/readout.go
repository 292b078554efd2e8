package keying

// reading finds the cheapest session that shows the values of options and changes none.
// limit bounds the search for the shortest one.
func (d *Device) reading(h hands, values []int8, options []int, limit int) ([]act, bool) {
	m := d.Machine
	if m.grid == nil {
		return d.readWalk(h, values, options)
	}
	w := &work{d: d, h: h, start: values}
	for _, o := range options {
		w.tasks = append(w.tasks, task{option: o, places: w.readPlaces(o)})
	}
	s := newStops(m, h, w.tasks, m.First)
	s.limit = limit
	r := s.best()
	if len(r.visits) < len(w.tasks) {
		return nil, false
	}
	script := w.sequence(d.Profile.Keying.Enter.Steps)
	at := s.start
	for _, v := range r.visits {
		p := w.tasks[v.task].places[v.place]
		for _, in := range append(s.from(at).row(p.at), p.row...) {
			script = append(script, act{input: in, option: w.tasks[v.task].option})
		}
		at = p.end
	}
	return append(script, w.sequence(d.Profile.Keying.Leave.Steps)...), true
}

func (d *Device) readWalk(h hands, values []int8, options []int) ([]act, bool) { return nil, false }
