package record

import "syscall"

// networkKind names the file system of a folder when it is one whose locks
// and syncs reach over a network; "" when it is local. The numbers are those
// of statfs(2), linux/magic.h.
func networkKind(dir string) (string, error) {
	var st syscall.Statfs_t
	if err := syscall.Statfs(dir, &st); err != nil {
		return "", err
	}
	return map[uint32]string{
		0x6969:     "nfs",
		0x517b:     "smb",
		0xff534d42: "cifs",
		0xfe534d42: "smb2",
		0x564c:     "ncp",
		0x5346414f: "afs",
		0x73757245: "coda",
		0x00c36400: "ceph",
		0x01021997: "9p",
		0x65735546: "fuse",
		0x0bd00bd0: "lustre",
		0x01161970: "gfs2",
		0x7461636f: "ocfs2",
	}[uint32(st.Type)], nil
}
