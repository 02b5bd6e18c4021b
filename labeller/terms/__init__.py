"""Floor 0: the glossary as frozen types, findings and evidence. Reads no files, knows no rules."""
