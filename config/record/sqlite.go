package record

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/ncruces/go-sqlite3"
)

// SQLite is the embedded store: one file, rollback journal, synchronous EXTRA.
// Under power cuts EXTRA lost nothing where FULL lost acknowledged entries,
// and one file at rest can be copied whole, which a write-ahead log cannot.
type SQLite struct {
	mu      sync.Mutex
	conn    *sqlite3.Conn
	path    string
	holder  holder
	looks   bool    // opened for looking only
	onDisk  bool    // path is a file of the system's own
	dropped remains // values that must not be found in the file any more
	sweep   bool    // nothing was left to drop: an earlier sweep may have failed
	stmts   map[string]*sqlite3.Stmt
	addRow  *sqlite3.Stmt // one of stmts
	format  format
	old     int64 // version of an older file, 0 when it is current
}

// SQLiteOptions says how to open the file.
type SQLiteOptions struct {
	Path     string
	Create   bool          // make the file when there is none
	Looking  bool          // never write; works in a folder that cannot be written
	LockWait time.Duration // how long to wait for another process; 0 means 8 s
	Holder   string        // who we are, told to whoever waits for us
	format   *format       // another format than the current one, for tests
	vfs      string        // file system under SQLite, for tests
	pragmas  []string      // set after ours, for tests and benchmarks
}

const defaultLockWait = 8 * time.Second

// writersCache is how many KiB of pages a writer may keep. A large import
// files entries under vehicles all over the index; with less room it would
// write the same pages to the disk and read them back many times over.
const writersCache = "8192"

// OpenSQLite opens or makes the file. Errors: *FileError with its Class.
func OpenSQLite(ctx context.Context, o SQLiteOptions) (*SQLite, error) {
	if err := checkPath(o); err != nil {
		return nil, err
	}
	s := &SQLite{path: o.Path, looks: o.Looking, onDisk: o.vfs == "", stmts: map[string]*sqlite3.Stmt{}}
	s.format = currentFormat
	if o.format != nil {
		s.format = *o.format
	}
	s.holder = holder{path: o.Path + ".holder", text: o.Holder}
	if o.vfs != "" {
		s.holder.path = ""
	}
	conn, err := connect(ctx, o)
	if err != nil {
		return nil, classify(o.Path, err)
	}
	s.conn = conn
	if err := s.prepareFile(o); err != nil {
		conn.Close()
		return nil, s.explain(err)
	}
	return s, nil
}

// fileURI names a file of the system's own to SQLite.
func fileURI(path string) string {
	return (&url.URL{Scheme: "file", OmitHost: true, Path: filepath.ToSlash(path), RawQuery: "vfs=" + gatheringName}).String()
}

func connect(ctx context.Context, o SQLiteOptions) (*sqlite3.Conn, error) {
	flags := sqlite3.OPEN_READWRITE | sqlite3.OPEN_URI | sqlite3.OPEN_NOFOLLOW
	if o.Create {
		flags |= sqlite3.OPEN_CREATE
	}
	uri := fileURI(o.Path)
	if o.vfs != "" {
		uri = "file:" + o.Path + "?vfs=" + o.vfs
	}
	conn, err := sqlite3.OpenFlags(uri, flags)
	if err != nil && o.Looking {
		conn, err = sqlite3.OpenFlags(uri, sqlite3.OPEN_READONLY|sqlite3.OPEN_URI|sqlite3.OPEN_NOFOLLOW)
	}
	if err != nil {
		return nil, err
	}
	wait := o.LockWait
	if wait == 0 {
		wait = defaultLockWait
	}
	conn.SetInterrupt(ctx)
	if err := errors.Join(conn.BusyTimeout(wait), harden(conn)); err != nil {
		conn.Close()
		return nil, err
	}
	return conn, nil
}

// harden switches off whatever a hostile file could make run.
func harden(conn *sqlite3.Conn) error {
	for op, on := range map[sqlite3.DBConfig]bool{
		sqlite3.DBCONFIG_ENABLE_TRIGGER:  false,
		sqlite3.DBCONFIG_ENABLE_VIEW:     false,
		sqlite3.DBCONFIG_TRUSTED_SCHEMA:  false,
		sqlite3.DBCONFIG_DEFENSIVE:       true,
		sqlite3.DBCONFIG_WRITABLE_SCHEMA: false,
	} {
		if _, err := conn.Config(op, on); err != nil {
			return err
		}
	}
	return conn.Exec(`PRAGMA cell_size_check=ON; PRAGMA mmap_size=0; PRAGMA temp_store=MEMORY; PRAGMA secure_delete=ON`)
}

// prepareFile checks that the file is ours, or makes it ours when it is new,
// and sets how commits reach the disk.
func (s *SQLite) prepareFile(o SQLiteOptions) error {
	for _, p := range o.pragmas {
		if strings.HasPrefix(p, "locking_mode") { // decides how the file is first read
			if err := s.conn.Exec("PRAGMA " + p); err != nil {
				return err
			}
		}
	}
	fresh, err := s.checkFile()
	if err != nil {
		return err
	}
	if fresh && !o.Create {
		return &FileError{Path: s.path, Class: NotARecord, Text: "the file is empty"}
	}
	if _, readable := s.format.earlier[s.old]; o.Looking && s.old != 0 && !readable {
		return &FileError{Path: s.path, Class: OlderVersion, Text: fmt.Sprintf("format %d of an earlier version", s.old)}
	}
	if o.Looking {
		return s.conn.Exec(`PRAGMA query_only=ON`)
	}
	if err := s.conn.Exec(`PRAGMA journal_mode=DELETE; PRAGMA synchronous=EXTRA; PRAGMA cache_size=-` + writersCache); err != nil {
		return err
	}
	for _, p := range o.pragmas {
		if err := s.conn.Exec("PRAGMA " + p); err != nil {
			return err
		}
	}
	switch {
	case fresh:
		return s.create()
	case s.old != 0:
		return s.migrate(s.old)
	}
	return nil
}

// checkFile reads the marks and the schema in one read: another process may be
// bringing the file forward. fresh means an empty database.
func (s *SQLite) checkFile() (fresh bool, err error) {
	if err := s.conn.Exec(`BEGIN`); err != nil {
		return false, err
	}
	defer func() {
		if ended := s.conn.Exec(`ROLLBACK`); err == nil {
			err = ended
		}
	}()
	id, err := s.pragma("application_id")
	if err != nil {
		return false, err
	}
	version, err := s.pragma("user_version")
	if err != nil {
		return false, err
	}
	found, err := readSchema(s.conn)
	if err != nil {
		return false, err
	}
	if len(found) == 0 && id == 0 && version == 0 {
		return true, nil
	}
	if id != applicationID {
		return false, &FileError{Path: s.path, Class: NotARecord, Text: "a database of another program"}
	}
	if version > s.format.version {
		return false, &FileError{Path: s.path, Class: NewerVersion, Text: fmt.Sprintf("format %d; this version reads up to %d", version, s.format.version)}
	}
	if s.old = 0; version == s.format.version {
		return false, compareSchema(s.path, s.format.schema, found)
	}
	s.old = version
	if schema, known := s.format.earlier[version]; known {
		return false, compareSchema(s.path, schema(), found)
	}
	return false, nil
}

func compareSchema(path string, schema, found []schemaObject) error {
	known := map[schemaObject]bool{}
	for _, o := range schema {
		known[o] = true
	}
	for _, o := range found {
		if !known[o] {
			return &FileError{Path: path, Class: Foreign, Text: fmt.Sprintf("the %s %q is not part of a record", o.kind, o.name)}
		}
		delete(known, o)
	}
	for o := range known {
		return &FileError{Path: path, Class: Foreign, Text: fmt.Sprintf("the %s %q is missing", o.kind, o.name)}
	}
	return nil
}

func readSchema(conn *sqlite3.Conn) ([]schemaObject, error) {
	stmt, _, err := conn.Prepare(`SELECT type, name, sql FROM sqlite_schema WHERE sql IS NOT NULL OR type NOT IN ('index') ORDER BY rowid LIMIT 100`)
	if err != nil {
		return nil, err
	}
	defer stmt.Close()
	var found []schemaObject
	for stmt.Step() {
		found = append(found, schemaObject{stmt.ColumnText(0), stmt.ColumnText(1), stmt.ColumnText(2)})
	}
	return found, stmt.Err()
}

func (s *SQLite) pragma(name string) (int64, error) {
	stmt, _, err := s.conn.Prepare("PRAGMA " + name)
	if err != nil {
		return 0, err
	}
	defer stmt.Close()
	stmt.Step()
	return stmt.ColumnInt64(0), stmt.Err()
}

// create lays out the tables, all of them or none.
func (s *SQLite) create() error {
	if err := s.conn.Exec(`BEGIN IMMEDIATE`); err != nil {
		return err
	}
	if found, err := readSchema(s.conn); err != nil || len(found) > 0 {
		s.conn.Exec(`ROLLBACK`) // another process was quicker
		if err == nil {
			_, err = s.checkFile()
		}
		return err
	}
	for _, o := range s.format.schema {
		if err := s.conn.Exec(o.sql); err != nil {
			s.conn.Exec(`ROLLBACK`)
			return err
		}
	}
	marks := fmt.Sprintf(`PRAGMA application_id=%d; PRAGMA user_version=%d; COMMIT`, applicationID, s.format.version)
	if err := s.conn.Exec(marks); err != nil {
		s.conn.Exec(`ROLLBACK`)
		return err
	}
	return nil
}

// checkPath refuses what is no plain file before SQLite sees it.
func checkPath(o SQLiteOptions) error {
	if o.vfs != "" {
		return nil
	}
	info, err := os.Lstat(o.Path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		if !o.Create {
			return &FileError{Path: o.Path, Class: NoFile, Text: "there is no record here"}
		}
		return nil
	case err != nil:
		return &FileError{Path: o.Path, Class: Unreadable, Text: plain(err), Err: err}
	case !info.Mode().IsRegular():
		return &FileError{Path: o.Path, Class: NotARecord, Text: "not a plain file but a " + describeMode(info.Mode())}
	}
	return nil
}

func describeMode(m os.FileMode) string {
	switch {
	case m.IsDir():
		return "folder"
	case m&os.ModeSymlink != 0:
		return "link"
	case m&os.ModeNamedPipe != 0:
		return "pipe"
	default:
		return "device"
	}
}

// Close releases the file.
func (s *SQLite) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, stmt := range s.stmts {
		stmt.Close()
	}
	s.stmts = nil
	s.holder.leave()
	return s.conn.Close()
}
