#!/bin/sh
# Recomputes the root of a book from its raw entries with sqlite3, sha256sum
# and xxd alone, and prints size and root in hexadecimal.
# Usage: root_by_hand.sh RECORD. Only for small books: it starts a program a hash.
set -eu
hash_hex() { xxd -r -p | sha256sum | cut -c1-64; }
work=$(mktemp -d)
trap 'rm -r "$work"' EXIT
sqlite3 -readonly "$1" 'SELECT lower(hex(bytes)) FROM entry WHERE id >= 1 << 40 AND id < 2 << 40 ORDER BY id' |
	while read -r entry; do printf '00%s' "$entry" | hash_hex; done >"$work/level"
size=$(wc -l <"$work/level" | tr -d ' ')
# Pair by pair, level by level; one that is left over goes up as it is: RFC 6962, section 2.1.
while [ "$(wc -l <"$work/level")" -gt 1 ]; do
	while read -r left; do
		if read -r right; then printf '01%s%s' "$left" "$right" | hash_hex; else echo "$left"; fi
	done <"$work/level" >"$work/next"
	mv "$work/next" "$work/level"
done
echo "$size $(cat "$work/level")"
