"""What can be fitted: schemas, the shipped catalogue as data, and the import of a maker's datasheet."""
