#!/usr/bin/env python3
"""Checks an extract of the record without the program that made it.

Usage: verify_extract.py FILE. Needs Python 3.8 or later and nothing else.
Written from the package comment of config/record, RFC 6962 section 2.1,
RFC 8032 section 5.1 and the C2SP texts on signed notes and checkpoints.
Exit status 0: verifies; 4: does not, with the first flaw on standard error.
"""
import base64
import hashlib
import json
import sys


class Flaw(Exception):
    pass


def sha(data):
    return hashlib.sha256(data).digest()


# Ed25519, RFC 8032.
P = 2**255 - 19
L = 2**252 + 27742317777372353535851937790883648493
D = -121665 * pow(121666, P - 2, P) % P


def add(a, b):
    e, f = (a[1] - a[0]) * (b[1] - b[0]) % P, (a[1] + a[0]) * (b[1] + b[0]) % P
    c, d = 2 * a[3] * b[3] * D % P, 2 * a[2] * b[2] % P
    e, f, g, h = f - e, d - c, d + c, f + e
    return e * f % P, g * h % P, f * g % P, e * h % P


def times(n, point):
    result = (0, 1, 1, 0)
    while n:
        if n & 1:
            result = add(result, point)
        point = add(point, point)
        n >>= 1
    return result


def point(data):
    y = int.from_bytes(data, "little")
    sign, y = y >> 255, y & ((1 << 255) - 1)
    if y >= P:
        raise Flaw("not a point")
    x2 = (y * y - 1) * pow(D * y * y + 1, P - 2, P) % P
    x = pow(x2, (P + 3) // 8, P)
    if (x * x - x2) % P:
        x = x * pow(2, (P - 1) // 4, P) % P
    if (x * x - x2) % P or (x == 0 and sign):
        raise Flaw("not a point")
    if x & 1 != sign:
        x = P - x
    return x, y, 1, x * y % P


BASE = point((4 * pow(5, P - 2, P) % P).to_bytes(32, "little"))


def signature_fits(key, text, signature):
    if len(signature) != 64:
        return False
    r, s = signature[:32], int.from_bytes(signature[32:], "little")
    if s >= L:
        return False
    h = int.from_bytes(hashlib.sha512(r + key + text).digest(), "little") % L
    a, b = times(s, BASE), add(point(r), times(h, point(key)))
    return (a[0] * b[2] - b[0] * a[2]) % P == 0 and (a[1] * b[2] - b[1] * a[2]) % P == 0


def checkpoint(note, vkey, book):
    """Checks a signed note and returns size and root."""
    name, keyhash, encoded = vkey.split("+", 2)
    key = base64.b64decode(encoded)
    if key[0] != 1 or sha(name.encode() + b"\n" + key)[:4].hex() != keyhash:
        raise Flaw("the book's public key is not one")
    text, signatures = note.rsplit("\n\n", 1)
    text += "\n"
    good = False
    for line in signatures.splitlines():
        dash, signer, value = line.split(" ")
        raw = base64.b64decode(value)
        if dash == "\u2014" and signer == name and raw[:4].hex() == keyhash:
            if not signature_fits(key[1:], text.encode(), raw[4:]):
                raise Flaw("the checkpoint's signature does not fit")
            good = True
    lines = text.split("\n")
    if not good or len(lines) != 4 or lines[0] != book or name != book:
        raise Flaw("not a signed checkpoint of " + book)
    return int(lines[1]), base64.b64decode(lines[2])


def inclusion(leaf, n, size, proof):
    """The root that an inclusion proof leads to, RFC 9162 section 2.1.3.2."""
    if not 0 <= n < size:
        raise Flaw("entry %d is beyond the checkpoint" % n)
    node, last, root = n, size - 1, leaf
    for other in proof:
        if last == 0:
            raise Flaw("a proof is too long")
        if node & 1 or node == last:
            root = sha(b"\x01" + other + root)
            while not node & 1 and node:
                node, last = node >> 1, last >> 1
        else:
            root = sha(b"\x01" + root + other)
        node, last = node >> 1, last >> 1
    if last:
        raise Flaw("a proof is too short")
    return root


def check(path):
    books, chain, documents, named, subjects = {}, {}, set(), set(), set()
    count, digest, ended, header = 0, hashlib.sha256(), False, None
    with open(path, "rb") as file:
        for raw in file:
            if ended:
                raise Flaw("something follows the end line")
            line = json.loads(raw)
            kind = line["line"]
            if kind == "end":
                ended = line["lines"] == count and line["sha256"] == digest.hexdigest()
                if not ended:
                    raise Flaw("the file was cut short or damaged")
                continue
            count += 1
            digest.update(raw)
            if count == 1:
                header = line
                if kind != "header" or line["schema"] != "asleft/extract/1":
                    raise Flaw("not an extract")
            elif kind == "book":
                books[line["book"]] = checkpoint(line["checkpoint"], line["key"], line["book"])
            elif kind == "entry":
                size, root = books[line["book"]]
                data = line["entry"].encode()
                leaf = sha(b"\x00" + data)
                if inclusion(leaf, line["n"], size, [bytes.fromhex(h) for h in line["proof"]]) != root:
                    raise Flaw("entry %d is not the one that the book holds" % line["n"])
                entry = json.loads(data)
                if entry["n"] != line["n"]:
                    raise Flaw("entry %d says that it is entry %d" % (line["n"], entry["n"]))
                link = (line["book"], entry.get("subject"))
                if entry.get("previous") != chain.get(link):
                    raise Flaw("the vehicle's entry before entry %d was left out" % line["n"])
                chain[link] = leaf.hex()
                named.update(entry.get("blobs", {}).values())
                subjects.add(entry.get("subject"))
            elif kind == "document":
                data = base64.b64decode(line.get("bytes", ""))
                if sha(data).hex() != line["digest"]:
                    raise Flaw("document %s was changed" % line["digest"])
                documents.add(line["digest"])
            elif kind != "continues":
                raise Flaw("%s is not a line of an extract" % kind)
    if not ended:
        raise Flaw("the file was cut short")
    if named - documents:
        raise Flaw("a document is missing")
    if subjects and header["vehicle"] not in subjects:
        raise Flaw("no entry is about the vehicle")


if __name__ == "__main__":
    try:
        check(sys.argv[1])
    except (Flaw, ValueError, KeyError, TypeError, AttributeError) as flaw:
        print("does not verify: %s" % flaw, file=sys.stderr)
        sys.exit(4)
    print("verifies")
