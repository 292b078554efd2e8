// Package proof looks at a rule base as a whole: it says what is wrong with the rules themselves, and proves that no install that
// breaks a refusal of safety gets a keying card.
package proof
