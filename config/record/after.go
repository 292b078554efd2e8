package record

import "fmt"

// AfterError says that an entry is written and durable, and that only the head
// file could not follow. Repeating the write would make a second entry.
type AfterError struct {
	Receipt
	Err error
}

func (e *AfterError) Error() string {
	return fmt.Sprintf("entry %d, %s, is written and safe, but the head file was not brought up to it: %v", e.N, e.Kind, e.Err)
}

func (e *AfterError) Unwrap() error { return e.Err }

// Hint says what to do.
func (e *AfterError) Hint() string {
	return "do not write it again; once the state folder can be written, the next entry brings the head file up"
}

// after makes of a failure after a write an error that does not look like a
// failed write.
func after(r Receipt, err error) error {
	if err == nil {
		return nil
	}
	return &AfterError{r, err}
}
