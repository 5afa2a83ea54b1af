"""How a bike moves over the ground: masses, tyres and two ends, integrated by a compiled loop."""
