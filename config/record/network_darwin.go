package record

import (
	"slices"
	"syscall"
)

// networkKind names the file system of a folder when it is one whose locks
// and syncs reach over a network; "" when it is local.
func networkKind(dir string) (string, error) {
	var st syscall.Statfs_t
	if err := syscall.Statfs(dir, &st); err != nil {
		return "", err
	}
	var name []byte
	for _, c := range st.Fstypename {
		if c == 0 {
			break
		}
		name = append(name, byte(c))
	}
	if slices.Contains([]string{"nfs", "smbfs", "afpfs", "webdav", "ftp", "macfuse", "osxfuse"}, string(name)) {
		return string(name), nil
	}
	return "", nil
}
