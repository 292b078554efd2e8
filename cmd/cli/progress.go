package cli

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"asleft/rules"
)

// progressPath is where the progress of following one card of a job is kept: in the state folder,
// under a name made of the job file's path and the card's place.
func (a *app) progressPath(o *rules.Outcome, card int) (string, error) {
	dir, err := a.stateDir()
	if err != nil {
		return "", err
	}
	job, err := filepath.Abs(o.Job.Doc.Name())
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\n%d", job, card))
	return filepath.Join(dir, "follow-"+hex.EncodeToString(sum[:8])+".json"), nil
}

// keep writes a small file so that it is whole at any moment: beside it, synced, then renamed.
func keep(path string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), "follow-*.new")
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}
