-- Marks the root: `require "shared.NAME"` and files that begin with `root:` are found below it.
-- Everything in this folder is invented: the Ravnmoor test field, its mast, its units.
return { title = "Ravnmoor test field (invented)" }
