"""How a solid lies on the build plate, and which way of lying prints best."""
