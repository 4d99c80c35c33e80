"""What the bodywork room says: workings, rest allowances compared."""
