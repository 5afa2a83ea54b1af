"""Phases of a ride: where it was flown, landed, braked, pedalled, turned, told by acceleration and ground speed."""
