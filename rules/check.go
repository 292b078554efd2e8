package rules

import (
	"asleft/config/profile"
)

// CheckKeying says what in a profile's keying would leave a technician stuck.
func CheckKeying(p *profile.Profile) []string { return nil }
