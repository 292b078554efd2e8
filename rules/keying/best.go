package keying

// best finds the cheapest route: over the laps of the menus where the cursor is kept, else by
// search over the stops.
func (s *stops) best() route {
	return s.search()
}
