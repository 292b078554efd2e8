package record

import (
	"fmt"
	"time"

	"asleft/config/setting"
)

// fields takes an object apart. The first problem stays; what nobody asked
// for is a problem at close, so that no key can hide in an entry.
type fields struct {
	members []member
	asked   uint64 // a bit for each member; more than 64 no format of ours has
	err     error
}

func (r *fields) fail(key, format string, args ...any) {
	if r.err == nil {
		r.err = fmt.Errorf("%s: %s", key, fmt.Sprintf(format, args...))
	}
}

// take returns the value under key and whether it is there.
func (r *fields) take(key string) (*parsed, bool) {
	for i := range r.members {
		if r.members[i].key == key {
			r.asked |= 1 << i // nothing for the 65th and later: they stay unasked
			return &r.members[i].parsed, true
		}
	}
	return &parsed{}, false
}

func (r *fields) text(key string) string {
	s := r.optionalText(key)
	if s == "" {
		r.fail(key, "missing or empty")
	}
	return s
}

func (r *fields) optionalText(key string) string {
	v, ok := r.take(key)
	if !ok {
		return ""
	}
	if v.kind != aText || v.text == "" {
		r.fail(key, "expected text that is not empty")
	}
	return v.text
}

func (r *fields) whole(key string) int64 {
	v, _ := r.take(key)
	if v.kind != aWhole {
		r.fail(key, "expected a whole number")
	}
	return v.whole
}

func (r *fields) optionalWhole(key string) int64 {
	if _, ok := r.take(key); !ok {
		return 0
	}
	n := r.whole(key)
	if n == 0 {
		r.fail(key, "zero is written by leaving it out")
	}
	return n
}

func (r *fields) time(key string) time.Time {
	text := r.text(key)
	t, err := time.Parse(timeLayout, text)
	var room [len(timeLayout)]byte
	if err != nil || string(t.AppendFormat(room[:0], timeLayout)) != text {
		r.fail(key, "%q is not a UTC time to the microsecond", text)
	}
	return t
}

func (r *fields) id(key string, required bool) ID {
	text := r.optionalText(key)
	if text == "" {
		if required {
			r.fail(key, "missing")
		}
		return ID{}
	}
	id, err := ParseID(text)
	if err != nil {
		r.fail(key, "%v", err)
	}
	return id
}

func (r *fields) digest(key string) Digest {
	text := r.optionalText(key)
	if text == "" {
		return Digest{}
	}
	d, err := ParseDigest(text)
	if err != nil {
		r.fail(key, "%v", err)
	}
	return d
}

// sub is the members of the object under key; nil when it is absent, a problem
// when empty.
func (r *fields) sub(key string) []member {
	v, ok := r.take(key)
	if !ok {
		return nil
	}
	if v.kind != aObject || len(v.members) == 0 {
		r.fail(key, "expected an object that is not empty")
	}
	return v.members
}

func (r *fields) texts(key string) map[string]string {
	members := r.sub(key)
	if members == nil {
		return nil
	}
	m := make(map[string]string, len(members))
	for i := range members {
		if members[i].kind != aText {
			r.fail(key, "%s: expected text", members[i].key)
		}
		m[members[i].key] = members[i].text
	}
	return m
}

func (r *fields) digests(key string) map[string]Digest {
	members := r.sub(key)
	if members == nil {
		return nil
	}
	m := make(map[string]Digest, len(members))
	for i := range members {
		d, err := ParseDigest(members[i].text)
		if err != nil {
			r.fail(key, "%s: %v", members[i].key, err)
		}
		m[members[i].key] = d
	}
	return m
}

// list is the objects of the array under key, each to be closed by the caller.
func (r *fields) list(key string) []fields {
	v, ok := r.take(key)
	if !ok {
		return nil
	}
	if v.kind != aList || len(v.members) == 0 {
		r.fail(key, "expected a list that is not empty")
	}
	list := make([]fields, 0, len(v.members))
	for _, item := range v.members {
		if item.kind != aObject {
			r.fail(key, "expected objects")
		}
		list = append(list, fields{members: item.members})
	}
	return list
}

func (r *fields) changes(key string) []Change {
	var out []Change
	for _, item := range r.list(key) {
		c := Change{
			Device:  item.text("device"),
			Setting: item.text("setting"),
			From:    setting.Value(item.optionalText("from")),
			To:      setting.Value(item.optionalText("to")),
		}
		c.Override = item.optionalWhole("override") == 1
		if err := item.close(); err != nil {
			r.fail(key, "%v", err)
		}
		out = append(out, c)
	}
	return out
}

func (r *fields) heads(key string) []Head {
	var out []Head
	for _, item := range r.list(key) {
		h := Head{Book: item.text("book"), Size: item.whole("size"), Root: item.digest("root")}
		if err := item.close(); err != nil {
			r.fail(key, "%v", err)
		}
		out = append(out, h)
	}
	return out
}

// close reports the first problem, or a key that nobody asked for.
func (r *fields) close() error {
	if r.err != nil {
		return r.err
	}
	for i := range r.members {
		if i > 63 || r.asked>>i&1 == 0 {
			return fmt.Errorf("%s: not a key of this format", r.members[i].key)
		}
	}
	return nil
}
