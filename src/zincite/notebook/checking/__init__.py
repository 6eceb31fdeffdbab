"""What `verify` looks at, one file for each kind of thing that the chain holds."""
