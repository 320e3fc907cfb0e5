// Package traffic turns bytes into messages that can be planned for: RFC 5322
// mail from a file, an mbox or a Maildir, with its precedence, its deadline, its
// measured size on the air, and smaller versions of its pictures; and it puts them
// in order.
//
//	bytes -> SplitMbox -> Parse -> Message -> Worth, Duplicate
//	                        |         +-> Attachment -> Versions
//	                        +- limits, header, body, urgency, identity, size
//	Place -> Order, Move, ByRule
//
// The raw bytes of a message are kept as they came and are never written anew.
//
// # Words
//
//	precedence  routine, priority, immediate, flash: which message goes first
//	deadline    the moment after which delivery is worth nothing
//	on the air  octets that the radio link carries, after compression
//	canonical   the least that carries the whole message: the headers that
//	            matter, the texts, the attachments as octets, not as base64
//
// # What is read
//
//	RFC 5322, 2045–2047, 2183, 2231  by a tolerant mail library, inside our own limits
//	RFC 4155  mbox: the separator line; quoting with ">" is undone one level
//	RFC 6477  MMHS-Primary-Precedence (from memory, high for the names, medium for the digits)
//	RFC 6758  MT-Priority (from memory, high for the range −9…9)
//	RFC 4021  Latest-Delivery-Time, Expires, Expiry-Date, Reply-By (from memory, high)
//
// The security label SIO-Label (RFC 7444, from memory, high) states no precedence
// and is not read. Text is UTF-8 once read; times are kept with their own offset.
package traffic
