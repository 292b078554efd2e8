package record

import "golang.org/x/mod/sumdb/tlog"

// leafHash is SHA-256(0x00 || entry), RFC 6962 section 2.1.
func leafHash(data []byte) Digest { return Digest(tlog.RecordHash(data)) }
