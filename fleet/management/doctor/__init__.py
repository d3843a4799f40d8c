"""What the doctor examines in an installation, group by group. Changes nothing."""
