"""From drawn layers to known pieces: convention, recognition, allowances, seam map."""
