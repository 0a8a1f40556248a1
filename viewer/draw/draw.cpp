// The target's own file until the painter stands.
