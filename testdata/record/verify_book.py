#!/usr/bin/env python3
"""Checks a whole book of the record without the program that made it.

Usage: verify_book.py BOOK HEAD            says every flaw: class and entry, a tab between
       verify_book.py BOOK HEAD VECTORS    makes the one fault of each vector and compares
Needs Python 3.8 or later and verify_extract.py beside it. Written from the package
comment of config/record, RFC 6962 section 2.1 and the C2SP texts on checkpoints.
Exit status 0: verifies, or all vectors agree; 4: not.
"""
import base64
import json
import sqlite3
import sys

from verify_extract import Flaw, checkpoint, sha, signature_fits

POSITIONS = 1 << 40  # an entry's row number is log * POSITIONS + position


def completed(stack, n, leaf):
    """Hangs leaf n into the tree: the hashes that it completes, leaf first."""
    hashes = [leaf]
    while n & 1:
        hashes.append(sha(b"\x01" + stack.pop() + hashes[-1]))
        n >>= 1
    stack.append(hashes[-1])
    return hashes


def root_of(stack):
    """The root over the peaks that are left."""
    if not stack:
        return sha(b"")
    root = stack[-1]
    for peak in reversed(stack[:-1]):
        root = sha(b"\x01" + peak + root)
    return root


def check_entry(n, subject, identity, data, flaws):
    """What an entry says of itself against where it stands."""
    try:
        entry = json.loads(data)
    except ValueError:
        flaws.append(("unparsable", n))
        return {}
    if entry["n"] != n:
        flaws.append(("entry-moved", n))
    elif bytes.fromhex(entry["id"]) != identity or bytes.fromhex(entry.get("subject", "00" * 16)) != subject:
        flaws.append(("index-changed", n))
    return entry


def check_leaf(n, data, stored, subject, identity, flaws):
    """The leaf of a row, and what its entry names."""
    leaf = sha(b"\x00" + data)
    if stored[:32] == leaf:
        return leaf, check_entry(n, subject, identity, data, flaws)
    try:
        moved = json.loads(data)["n"] != n
    except ValueError:
        moved = False
    flaws.append(("entry-moved" if moved else "entry-changed", n))
    return stored[:32], {}


def check_documents(book, flaws):
    whole = {}
    for digest, data in book.execute("SELECT digest, bytes FROM document"):
        whole[digest] = sha(data) == digest
        if not whole[digest]:
            flaws.append(("document-changed", -1))
    return whole


def check_log(book, log, flaws, known):
    """Reads a log from its first entry to its last: size, root at each size, signatures."""
    stack, roots, signatures, n = [], {0: sha(b"")}, {}, -1
    holed = False
    rows = book.execute(
        "SELECT id, subject, identity, bytes, hashes, signature FROM entry WHERE id >= ? AND id < ? ORDER BY id",
        (log * POSITIONS, (log + 1) * POSITIONS))
    for row, subject, identity, data, stored, signature in rows:
        position = row - log * POSITIONS
        if position != n + 1:
            flaws.append(("entry-missing", n + 1))
            holed, stack = True, [bytes(32)] * bin(position).count("1")
        n = position
        leaf, entry = check_leaf(n, data, stored, subject, identity, flaws)
        hashes = completed(stack, n, leaf)
        if b"".join(hashes) != stored and not holed:
            flaws.append(("hash-changed", n))
        for digest in entry.get("blobs", {}).values():
            if bytes.fromhex(digest) not in known:
                flaws.append(("document-missing", n))
        roots[n + 1], signatures[n + 1] = root_of(stack), signature
    return n + 1, roots, signatures


def signed(origin, vkey, size, root, signature):
    """Whether a row's signature is that of the checkpoint which ends with it."""
    text = "%s\n%d\n%s\n" % (origin, size, base64.b64encode(root).decode())
    key = base64.b64decode(vkey.split("+", 2)[2])[1:]
    try:
        return signature_fits(key, text.encode(), signature)
    except Flaw:
        return False


def check_signatures(origin, vkey, size, roots, signatures, flaws):
    """The newest signature; where it does not fit, the first entry that none covers."""
    if size == 0 or signatures[size] is None:
        if size:
            flaws.append(("unsigned", size - 1))
        return
    if signed(origin, vkey, size, roots[size], signatures[size]) or flaws:
        return
    good = size
    while good and not (signatures[good] and signed(origin, vkey, good, roots[good], signatures[good])):
        good -= 1
    flaws.append(("rewritten", good))


def check_values(book, log, flaws):
    """Each commitment of our own log is answered by a sealed value, or was erased later."""
    gone = []
    for row, subject, data in book.execute(
            "SELECT id, subject, bytes FROM entry WHERE id >= ? AND id < ? ORDER BY id DESC", (log * POSITIONS, (log + 1) * POSITIONS)):
        try:
            entry = json.loads(data)
        except ValueError:
            continue
        if entry["kind"] == "erased":
            gone.append(subject)
        for kind, field in (("personal", "personal"), ("secret", "secrets")):
            have = {v[:32].hex() for v, in book.execute("SELECT value FROM beside WHERE kind = ? AND name = ?", ("sealed." + kind, subject))}
            if kind == "personal" and subject in gone:
                continue
            if set(entry.get(field, {}).values()) - have:
                flaws.append(("value-missing", row - log * POSITIONS))


def check_book(book, head):
    flaws = []
    known = check_documents(book, flaws)
    own = book.execute("SELECT value FROM beside WHERE kind = 'own'").fetchone()[0].decode()
    for log, origin, vkey in book.execute("SELECT id, origin, key FROM log").fetchall():
        size, roots, signatures = check_log(book, log, flaws, known)
        if origin == own:
            witnessed, root = checkpoint(head, vkey, origin)
            if witnessed > size:
                flaws.append(("rolled-back", size))
            elif roots.get(witnessed) != root:
                flaws.append(("forked", -1))
        check_signatures(origin, vkey, size, roots, signatures, flaws)
        if origin == own:
            check_values(book, log, flaws)
    return flaws


def compare(good, head, vectors):
    """Makes the one fault of each vector; the flaws found must hold its class and entry."""
    count = bad = 0
    for line in vectors:
        if line.startswith("#") or line.count("\t") != 2:
            continue
        flaw, n, statement = line.rstrip("\n").split("\t")
        book = sqlite3.connect(":memory:")
        good.backup(book)
        book.executescript(statement)
        found = check_book(book, head)
        count += 1
        if (flaw, int(n)) not in found:
            bad += 1
            print("%s\t%s: found %s" % (flaw, n, found), file=sys.stderr)
    print("%d vectors, %d disagree" % (count, bad))
    return bad == 0


def main(args):
    book = sqlite3.connect("file:%s?mode=ro" % args[0], uri=True)
    with open(args[1], encoding="utf-8") as file:
        head = file.read()
    if len(args) > 2:
        with open(args[2], encoding="utf-8") as file:
            return compare(book, head, file)
    flaws = check_book(book, head)
    for flaw, n in flaws:
        print("%s\t%d" % (flaw, n))
    return not flaws


if __name__ == "__main__":
    sys.exit(0 if main(sys.argv[1:]) else 4)
