// Package derive decides every setting of an install from facts and rules, says why, and says why not.
package derive
