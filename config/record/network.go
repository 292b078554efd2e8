//go:build !linux && !darwin && !windows

package record

// networkKind cannot tell on this system.
func networkKind(string) (string, error) { return "", nil }
