package record

import (
	"path/filepath"
	"strings"
	"syscall"
	"unsafe"
)

var driveType = syscall.NewLazyDLL("kernel32.dll").NewProc("GetDriveTypeW")

// networkKind names a folder's drive when it is a network drive or share; ""
// when it is local. The number is DRIVE_REMOTE of GetDriveTypeW.
func networkKind(dir string) (string, error) {
	full, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	volume := filepath.VolumeName(full)
	if strings.HasPrefix(volume, `\\`) {
		return "share", nil
	}
	root, err := syscall.UTF16PtrFromString(volume + `\`)
	if err != nil {
		return "", err
	}
	const remote = 4
	if kind, _, _ := driveType.Call(uintptr(unsafe.Pointer(root))); kind == remote {
		return "network drive", nil
	}
	return "", nil
}
