// Command empty is the smallest cobra program: what starting one costs.
package main

import "github.com/spf13/cobra"

func main() {
	c := &cobra.Command{Use: "empty", Run: func(*cobra.Command, []string) {}}
	if err := c.Execute(); err != nil {
		panic(err)
	}
}
