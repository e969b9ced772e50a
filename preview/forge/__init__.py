"""What the smith measured and how sure that makes us: readings, marks, coupon, fitting, draws."""
