package record

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/hkdf"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Personal values and secrets never enter an entry. The entry holds a keyed
// commitment; the value is sealed beside the log under a key of its subject
// and class, and that key is wrapped by the book's key in the state folder.
// Removing the subject's key and the sealed values leaves commitments that
// nobody can open or guess, while every leaf stays as it was.

// sealClass keeps apart what may be erased from what must stay.
type sealClass string

const (
	personalClass sealClass = "personal"
	secretClass   sealClass = "secret"
)

func (c sealClass) keys() string   { return "key." + string(c) }
func (c sealClass) values() string { return "sealed." + string(c) }

// Value is a personal value or secret that was opened.
type Value struct {
	Field      string
	Text       string
	Commitment Digest // as the entries name it
	salt       [16]byte
}

// subjectKey is the key of one subject and class.
type subjectKey [32]byte

func (k subjectKey) derive(use string) []byte {
	out, err := hkdf.Key(sha256.New, k[:], nil, "asleft "+use, 32)
	if err != nil {
		panic(err) // 32 bytes are always there
	}
	return out
}

// commit binds field and text to the key: HMAC-SHA256 (RFC 2104) over salt,
// length of the field, field and text.
func (k subjectKey) commit(salt [16]byte, field, text string) Digest {
	m := hmac.New(sha256.New, k.derive("commit"))
	m.Write(salt[:])
	m.Write(binary.BigEndian.AppendUint32(nil, uint32(len(field))))
	io.WriteString(m, field)
	io.WriteString(m, text)
	return Digest(m.Sum(nil))
}

// seal encrypts with AES-256-GCM (NIST SP 800-38D) under a fresh nonce.
func seal(key, plain, bound []byte, random io.Reader) ([]byte, error) {
	aead, err := newAEAD(key)
	if err != nil {
		return nil, err
	}
	nonce := make([]byte, aead.NonceSize())
	if _, err := io.ReadFull(random, nonce); err != nil {
		return nil, err
	}
	return aead.Seal(nonce, nonce, plain, bound), nil
}

func unseal(key, sealed, bound []byte) ([]byte, error) {
	aead, err := newAEAD(key)
	if err != nil {
		return nil, err
	}
	if len(sealed) < aead.NonceSize() {
		return nil, errors.New("sealed value is cut short")
	}
	return aead.Open(nil, sealed[:aead.NonceSize()], sealed[aead.NonceSize():], bound)
}

func newAEAD(key []byte) (cipher.AEAD, error) {
	block, err := aes.NewCipher(key)
	if err != nil {
		return nil, err
	}
	return cipher.NewGCM(block)
}

// subjectKeyOf opens a subject's key; ErrNoRow when it has none.
func (b *Book) subjectKeyOf(r Reader, class sealClass, subject ID) (subjectKey, error) {
	var key subjectKey
	wrapped, err := r.Beside(class.keys(), subject[:])
	if err != nil {
		return key, err
	}
	if len(wrapped) == 0 {
		return key, ErrNoRow
	}
	if b.keys.origin == "" {
		return key, &FileError{Path: b.state.keyPath(b.own.Origin), Class: NoKey, Text: "the key of this book is missing"}
	}
	raw, err := unseal(b.keys.sealing[:], wrapped[0], append([]byte(class), subject[:]...))
	if err != nil || len(raw) != len(key) {
		return key, fmt.Errorf("the %s key of vehicle %s does not open", class, subject)
	}
	copy(key[:], raw)
	return key, nil
}

// ensureKey opens a subject's key or makes one.
func (b *Book) ensureKey(w Writer, class sealClass, subject ID) (subjectKey, error) {
	key, err := b.subjectKeyOf(w, class, subject)
	if !errors.Is(err, ErrNoRow) {
		return key, err
	}
	if _, err := io.ReadFull(b.o.Random, key[:]); err != nil {
		return key, err
	}
	return key, b.putKey(w, class, subject, key)
}

func (b *Book) putKey(w Writer, class sealClass, subject ID, key subjectKey) error {
	wrapped, err := seal(b.keys.sealing[:], key[:], append([]byte(class), subject[:]...), b.o.Random)
	if err != nil {
		return err
	}
	return w.PutBeside(class.keys(), subject[:], wrapped)
}

// sealValues stores values and returns their commitments.
func (b *Book) sealValues(w Writer, class sealClass, subject ID, values map[string]string) (map[string]Digest, error) {
	if len(values) == 0 {
		return nil, nil
	}
	key, err := b.ensureKey(w, class, subject)
	if err != nil {
		return nil, err
	}
	out := map[string]Digest{}
	for _, field := range sortedKeys(values) {
		v := Value{Field: field, Text: values[field]}
		if _, err := io.ReadFull(b.o.Random, v.salt[:]); err != nil {
			return nil, err
		}
		v.Commitment = key.commit(v.salt, field, v.Text)
		if err := b.putSealed(w, class, subject, key, v); err != nil {
			return nil, err
		}
		out[field] = v.Commitment
	}
	return out, nil
}

func (b *Book) putSealed(w Writer, class sealClass, subject ID, key subjectKey, v Value) error {
	plain := append(slices.Clone(v.salt[:]), v.Field+"\x00"+v.Text...)
	sealed, err := seal(key.derive("seal"), plain, v.Commitment[:], b.o.Random)
	if err != nil {
		return err
	}
	return w.PutBeside(class.values(), subject[:], append(slices.Clone(v.Commitment[:]), sealed...))
}

// openValues opens what is sealed for a subject and checks each value against
// its commitment. Nothing sealed, or erased, is an empty list.
func (b *Book) openValues(r Reader, class sealClass, subject ID) ([]Value, error) {
	sealed, err := r.Beside(class.values(), subject[:])
	if err != nil || len(sealed) == 0 {
		return nil, err
	}
	key, err := b.subjectKeyOf(r, class, subject)
	if err != nil {
		return nil, err
	}
	var out []Value
	for _, raw := range sealed {
		v, err := openValue(key, raw)
		if err != nil {
			return nil, fmt.Errorf("a %s value of vehicle %s: %w", class, subject, err)
		}
		out = append(out, v)
	}
	return out, nil
}

func openValue(key subjectKey, raw []byte) (Value, error) {
	var v Value
	if len(raw) < len(v.Commitment) {
		return v, errors.New("cut short")
	}
	copy(v.Commitment[:], raw)
	plain, err := unseal(key.derive("seal"), raw[len(v.Commitment):], v.Commitment[:])
	if err != nil || len(plain) < len(v.salt) {
		return v, errors.New("does not open")
	}
	copy(v.salt[:], plain)
	field, text, ok := strings.Cut(string(plain[len(v.salt):]), "\x00")
	if !ok || key.commit(v.salt, field, text) != v.Commitment {
		return v, errors.New("is not the value that was committed to")
	}
	v.Field, v.Text = field, text
	return v, nil
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
