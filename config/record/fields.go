package record

import (
	"fmt"
	"slices"
	"time"

	"asleft/config/setting"
)

// fields takes an object apart. The first problem stays; what nobody asked
// for is a problem at close, so that no key can hide in an entry.
type fields struct {
	o     object
	asked []string
	err   error
}

func (r *fields) fail(key, format string, args ...any) {
	if r.err == nil {
		r.err = fmt.Errorf("%s: %s", key, fmt.Sprintf(format, args...))
	}
}

// take returns the value under key and whether it is there.
func (r *fields) take(key string) (any, bool) {
	r.asked = append(r.asked, key)
	v, ok := r.o[key]
	return v, ok
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
	s, ok := v.(string)
	if !ok || s == "" {
		r.fail(key, "expected text that is not empty")
	}
	return s
}

func (r *fields) whole(key string) int64 {
	v, _ := r.take(key)
	n, ok := v.(int64)
	if !ok {
		r.fail(key, "expected a whole number")
	}
	return n
}

func (r *fields) optionalWhole(key string) int64 {
	if _, ok := r.o[key]; !ok {
		r.asked = append(r.asked, key)
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
	if err != nil || t.Format(timeLayout) != text {
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

// sub is the object under key; nil when it is absent, a problem when empty.
func (r *fields) sub(key string) object {
	v, ok := r.take(key)
	if !ok {
		return nil
	}
	o, ok := v.(object)
	if !ok || len(o) == 0 {
		r.fail(key, "expected an object that is not empty")
	}
	return o
}

func (r *fields) texts(key string) map[string]string {
	o := r.sub(key)
	if o == nil {
		return nil
	}
	m := make(map[string]string, len(o))
	for k, v := range o {
		s, ok := v.(string)
		if !ok {
			r.fail(key, "%s: expected text", k)
		}
		m[k] = s
	}
	return m
}

func (r *fields) digests(key string) map[string]Digest {
	texts := r.texts(key)
	if texts == nil {
		return nil
	}
	m := make(map[string]Digest, len(texts))
	for k, text := range texts {
		d, err := ParseDigest(text)
		if err != nil {
			r.fail(key, "%s: %v", k, err)
		}
		m[k] = d
	}
	return m
}

// list is the objects of the array under key, each to be closed by the caller.
func (r *fields) list(key string) []fields {
	v, ok := r.take(key)
	if !ok {
		return nil
	}
	items, ok := v.([]any)
	if !ok || len(items) == 0 {
		r.fail(key, "expected a list that is not empty")
	}
	list := make([]fields, 0, len(items))
	for _, item := range items {
		o, ok := item.(object)
		if !ok {
			r.fail(key, "expected objects")
		}
		list = append(list, fields{o: o})
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
	for k := range r.o {
		if !slices.Contains(r.asked, k) {
			return fmt.Errorf("%s: not a key of this format", k)
		}
	}
	return nil
}
