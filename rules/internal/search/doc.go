// Package search finds best paths, minimal conflicts and minimal hitting sets. It knows no word of
// the trade: callers bring states, constraints and costs, and give the answers their meaning.
//
//	Best      cheapest path through a graph that is made while it is walked (A*)
//	Conflict  one minimal set of constraints that cannot hold together (QuickXplain)
//	Conflicts every such set, and with it every minimal correction
//	Joint     assignment on several boards at once, with tools that are shared out among the items
//	Assignment rows to columns at least cost, with the prices that prove it
//	Hitting   every minimal set that meets all of a family of sets
//
// Everything here is deterministic: the same calls give the same answers in the same order, on every
// machine. Nothing depends on the order of a map, on a clock or on chance.
package search
