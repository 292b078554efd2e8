package record

import (
	"bytes"
	"encoding/base64"
	"encoding/hex"
	"strings"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Leaf inputs and roots by tree size: the published test vectors of the
// transparency-dev/merkle repository for RFC 6962, section 2.1.
var (
	publishedLeaves = []string{"", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"}
	publishedRoots  = []string{
		"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
		"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
		"fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
		"aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
		"d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
		"4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
		"76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
		"ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
		"5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
	}
)

func unhex(t *testing.T, text string) []byte {
	t.Helper()
	data, err := hex.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// publishedTree is the tree of the first size leaves, with all its hashes.
func publishedTree(t *testing.T, size int) (*frontier, hashList) {
	t.Helper()
	tree := &frontier{}
	var stored hashList
	for _, leaf := range publishedLeaves[:size] {
		stored = append(stored, tree.push(tlog.RecordHash(unhex(t, leaf)), nil)...)
	}
	return tree, stored
}

func TestPublishedRoots(t *testing.T) {
	for size, want := range publishedRoots {
		tree, _ := publishedTree(t, size)
		if got := tree.root().String(); got != want {
			t.Errorf("size %d: %s, want %s", size, got, want)
		}
	}
	// HashLeaf("L123456") of the same repository.
	if got := leafHash([]byte("L123456")).String(); got != "395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56" {
		t.Error(got)
	}
}

// Published inclusion and consistency proofs, and the mutations that the
// published negative probes consist of: every one has to fail.
func TestPublishedProofs(t *testing.T) {
	const (
		l0, l1, l4 = "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d", "96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7", "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b"
		l6         = "b08693ec2e721597130641e8211e7eedccb4c26413963eee6c1e2ed16ffb1a5f"
		n01, n23   = "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125", "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e"
		n45, n67   = "0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a", "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0"
		n03, n47   = "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7", "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4"
	)
	for _, c := range []struct {
		n, size int64
		proof   []string
	}{{0, 1, nil}, {0, 8, []string{l1, n23, n47}}, {5, 8, []string{l4, n67, n03}}, {2, 3, []string{n01}}, {1, 5, []string{l0, n23, l4}}} {
		tree, stored := publishedTree(t, int(c.size))
		proof, err := tlog.ProveRecord(c.size, c.n, stored)
		if err != nil || !sameProof(proof, c.proof) {
			t.Errorf("inclusion %d in %d: %v %v", c.n, c.size, proof, err)
		}
		leaf := tlog.RecordHash(unhex(t, publishedLeaves[c.n]))
		check := func(p []tlog.Hash, size, n int64, root, leaf tlog.Hash) error {
			return tlog.CheckRecord(p, size, root, n, leaf)
		}
		mutate(t, "inclusion", check, proof, c.size, c.n, tlog.Hash(tree.root()), leaf)
	}
	for _, c := range []struct {
		m, size int64
		proof   []string
	}{{1, 8, []string{l1, n23, n47}}, {6, 8, []string{n45, n67, n03}}, {2, 5, []string{n23, l4}}, {6, 7, []string{n45, l6, n03}}} {
		old, _ := publishedTree(t, int(c.m))
		tree, stored := publishedTree(t, int(c.size))
		proof, err := tlog.ProveTree(c.size, c.m, stored)
		if err != nil || !sameProof(proof, c.proof) {
			t.Errorf("consistency %d to %d: %v %v", c.m, c.size, proof, err)
		}
		check := func(p []tlog.Hash, size, m int64, root, oldRoot tlog.Hash) error {
			return tlog.CheckTree(p, size, root, m, oldRoot)
		}
		mutate(t, "consistency", check, proof, c.size, c.m, tlog.Hash(tree.root()), tlog.Hash(old.root()))
	}
}

func sameProof(got []tlog.Hash, want []string) bool {
	var texts []string
	for _, h := range got {
		texts = append(texts, hex.EncodeToString(h[:]))
	}
	return strings.Join(texts, " ") == strings.Join(want, " ")
}

// mutate checks the proof and then everything that is nearly it.
func mutate(t *testing.T, what string, check func([]tlog.Hash, int64, int64, tlog.Hash, tlog.Hash) error, proof []tlog.Hash, size, n int64, root, other tlog.Hash) {
	t.Helper()
	if err := check(proof, size, n, root, other); err != nil {
		t.Errorf("%s %d %d: %v", what, n, size, err)
	}
	bad := func(name string, p []tlog.Hash, size, n int64, root, other tlog.Hash) {
		if size > 0 && n >= 0 && n < size && check(p, size, n, root, other) == nil {
			t.Errorf("%s %d %d: %s passed", what, n, size, name)
		}
	}
	with := func(parts ...[]tlog.Hash) (out []tlog.Hash) {
		for _, p := range parts {
			out = append(out, p...)
		}
		return out
	}
	extra := []tlog.Hash{tlog.RecordHash([]byte("extra"))}
	bad("empty root", proof, size, n, tlog.Hash{}, other)
	bad("random root", proof, size, n, extra[0], other)
	bad("random leaf", proof, size, n, root, extra[0])
	if root != other {
		bad("swapped", proof, size, n, other, root)
	}
	bad("trailing garbage", with(proof, extra), size, n, root, other)
	bad("preceding garbage", with(extra, proof), size, n, root, other)
	bad("trailing root", with(proof, []tlog.Hash{root}), size, n, root, other)
	bad("preceding root", with([]tlog.Hash{root}, proof), size, n, root, other)
	if len(proof) == 0 {
		return
	}
	bad("index + 1", proof, size, n+1, root, other)
	bad("index - 1", proof, size, n-1, root, other)
	bad("size doubled", proof, 2*size, n, root, other)
	bad("size halved", proof, size/2, n, root, other)
	for i := range proof {
		flipped := with(proof)
		flipped[i][3] ^= 4
		bad("flipped bit", flipped, size, n, root, other)
		bad("dropped", with(proof[:i], proof[i+1:]), size, n, root, other)
		bad("inserted", with(proof[:i], extra, proof[i:]), size, n, root, other)
	}
}

// The signed note of the C2SP signed-note specification.
func TestPublishedNote(t *testing.T) {
	const key = "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k"
	const text = "This is an example message.\n"
	const signature = "Uw2QOkn8srV1yJGh2VYRlL1Tnagv1YEq6TfXppzi2ONncAlTgK7Ztg1ERYNZXsYjOBH3mFXmRKuwHjG1Yu72IneyaQM="
	v, err := note.NewVerifier(key)
	if err != nil {
		t.Fatal(err)
	}
	raw, _ := base64.StdEncoding.DecodeString(signature)
	if !v.Verify([]byte(text), raw[4:]) {
		t.Error("the published signature does not fit")
	}
	good := text + "\n\u2014 example.com/foo " + signature + "\n"
	if _, err := note.Open([]byte(good), note.VerifierList(v)); err != nil {
		t.Error(err)
	}
	for i := range key {
		if _, err := note.NewVerifier(key[:i]); err == nil {
			t.Errorf("a key cut after %d bytes was taken", i)
		}
	}
	// Our keys and envelopes are made without the library's generator: it must read them.
	secret, public := signingKeys("asleft-book-0", bytes.Repeat([]byte{7}, 32))
	signer, err := note.NewSigner(secret)
	if err != nil {
		t.Fatal(err)
	}
	head := Head{Book: "asleft-book-0", Size: 3, Root: Digest{1}}
	sig, _ := signer.Sign([]byte(checkpointText(head)))
	ours, err := buildNote(head, public, sig)
	if err != nil {
		t.Fatal(err)
	}
	theirs, err := note.Sign(&note.Note{Text: checkpointText(head)}, signer)
	if err != nil || !bytes.Equal(ours, theirs) {
		t.Errorf("%q\n%q", ours, theirs)
	}
	for i := range ours {
		bad := bytes.Clone(ours)
		bad[i] ^= 1
		if _, err := OpenCheckpoint(bad, public); err == nil {
			t.Errorf("byte %d of a checkpoint does not count", i)
		}
	}
}

// RFC 3339, section 5.8: the examples, read and written in the one form of an entry.
func TestPublishedTimes(t *testing.T) {
	for text, want := range map[string]string{
		"1985-04-12T23:20:50.52Z":      "1985-04-12T23:20:50.520000Z",
		"1996-12-19T16:39:57-08:00":    "1996-12-20T00:39:57.000000Z",
		"1937-01-01T12:00:27.87+00:20": "1937-01-01T11:40:27.870000Z",
		"2014-10-02T15:01:23+05:30":    "2014-10-02T09:31:23.000000Z",
	} {
		at, err := time.Parse(time.RFC3339Nano, text)
		if err != nil || at.UTC().Format(timeLayout) != want {
			t.Errorf("%s: %s %v", text, at.UTC().Format(timeLayout), err)
		}
	}
}

// RFC 8785, section 3.2.3: keys sort by UTF-16 code units, so a letter beyond
// U+FFFF stands before U+FB33. The published weird.json has them all.
func TestPublishedKeyOrder(t *testing.T) {
	o := object{"\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh", "1": "One",
		"\U0001f602": "Smiley", "\u0080": "Control\u007f", "\u00f6": "Latin Small Letter O With Diaeresis", "</script>": "Browser Challenge", "\n": "Newline"}
	want := "{\"\\n\":\"Newline\",\"\\r\":\"Carriage Return\",\"1\":\"One\",\"</script>\":\"Browser Challenge\",\"\u0080\":\"Control\u007f\"," +
		"\"\u00f6\":\"Latin Small Letter O With Diaeresis\",\"\u20ac\":\"Euro Sign\",\"\U0001f602\":\"Smiley\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}"
	if got := string(appendCanonical(nil, o)); got != want {
		t.Errorf("%s\n%s", got, want)
	}
	for _, other := range []string{want + " ", strings.Replace(want, "One", "\\u004fne", 1), strings.Replace(want, "{\"\\n\":\"Newline\",", "{", 1) + ""} {
		if _, err := parseCanonical(other); err == nil && other != want && !strings.HasPrefix(other, "{\"\\r") {
			t.Errorf("another spelling was taken: %s", other)
		}
	}
	// arrays.json and structures.json of the same collection, without fractions and null
	if got := string(appendCanonical(nil, object{"1": object{"f": object{"f": "hi", "F": int64(5)}, "\n": int64(56)}, "10": object{}, "": "empty",
		"a": object{}, "111": []any{object{"e": "yes", "E": "no"}}, "A": object{}})); got != `{"":"empty","1":{"\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{"E":"no","e":"yes"}],"A":{},"a":{}}` {
		t.Error(got)
	}
}
