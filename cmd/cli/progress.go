package cli

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
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
