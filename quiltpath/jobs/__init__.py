"""What a person asks for, each in a module of its own."""
