"""Many flights: studies that change a craft and compare, kept in one resumable file each."""
