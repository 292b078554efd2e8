package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"asleft/cmd/cli"
)

// TestMain lets the test binary stand in for the real asleft in scripts.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"asleft": main})
}

// TestScripts runs testdata/script: each file is a session of the real binary, with its exit
// statuses, its outputs, and what it must not leave behind. Run with -update to rewrite the
// expected outputs in the scripts, then read the difference.
func TestScripts(t *testing.T) {
	jobs, err := filepath.Abs(filepath.Join(root, "testdata", "jobs"))
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join(root, "testdata", "script"),
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       os.Getenv("ASLEFT_UPDATE") != "",
		Setup: func(env *testscript.Env) error {
			env.Setenv("JOBS", jobs)
			env.Setenv("ASLEFT_NOW", "2026-11-25T09:00:00+01:00")
			env.Setenv("ASLEFT_RECORD", filepath.Join(env.WorkDir, "shop.book"))
			env.Setenv("XDG_DATA_HOME", filepath.Join(env.WorkDir, "data"))
			env.Setenv("XDG_STATE_HOME", filepath.Join(env.WorkDir, "state"))
			env.Setenv("XDG_CONFIG_HOME", filepath.Join(env.WorkDir, "config"))
			env.Setenv("HOME", env.WorkDir)
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"status": status},
	})
}

// status runs a command and demands its exact exit status: status 3 asleft sheet job.toml
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status NUMBER COMMAND...")
	}
	err := ts.Exec(args[1], args[2:]...)
	code := cli.Done
	if exit, failed := err.(interface{ ExitCode() int }); failed {
		code = cli.Status(exit.ExitCode())
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if want := args[0]; want != code.String() {
		ts.Fatalf("exit status %s, expected %s", code, want)
	}
}
