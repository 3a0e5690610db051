"""Ask and show; no rules."""
