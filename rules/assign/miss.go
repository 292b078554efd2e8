package assign

func (plan *Plan) explainMisses() error { return nil }
