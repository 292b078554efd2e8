package record

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"sync"
	"syscall"
)

// A file is written under a name that means nothing and then renamed, so that
// nobody ever sees half of it. A process that is killed in between leaves it
// behind. Its name says which process of which machine it was, so that who
// comes next can take away what nobody is writing any more.

// machineMark tells this machine's files from another one's in a shared folder.
var machineMark = sync.OnceValue(func() string {
	name, _ := os.Hostname()
	sum := sha256.Sum256([]byte(name))
	return fmt.Sprintf("%x", sum[:4])
})

var unfinishedName = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^\.new-([0-9a-f]{8})-([0-9]+)-[0-9]+$`)
})

// newUnfinished makes a file in dir under a name of this process.
func newUnfinished(dir string) (*os.File, error) {
	return os.CreateTemp(dir, fmt.Sprintf(".new-%s-%d-*", machineMark(), os.Getpid()))
}

// dropUnfinished removes from dir what processes of this machine that are gone
// left behind. It is no work of the command that was asked for, so what cannot
// be read or removed stays. Should it ever take the file of a process that
// lives where its number cannot be seen, that process makes it again.
func dropUnfinished(dir string) {
	found, _ := os.ReadDir(dir)
	for _, f := range found {
		part := unfinishedName().FindStringSubmatch(f.Name())
		if part == nil || part[1] != machineMark() || !f.Type().IsRegular() {
			continue
		}
		if pid, err := strconv.Atoi(part[2]); err == nil && !running(pid) {
			os.Remove(filepath.Join(dir, f.Name()))
		}
	}
}

// running reports whether a process of this number lives; in doubt it does.
func running(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false // Windows looks for it here
	}
	defer p.Release()
	err = p.Signal(syscall.Signal(0))
	return !errors.Is(err, os.ErrProcessDone) && !errors.Is(err, syscall.ESRCH)
}
