// The target's own file until the sheets stand.
