"""The scale PC bridge: hears a reader and a scale, joins number and weight, keeps and delivers what it heard."""
