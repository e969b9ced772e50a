"""What every room stands on: errors, settings, units, files, tables, pictures, blocks of rows, cautions."""
