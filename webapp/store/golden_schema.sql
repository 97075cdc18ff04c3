CREATE INDEX ix_edit_token ON edit (token)
;
CREATE INDEX ix_form_token_at ON form_token (at)
;
CREATE INDEX ix_movement_order_line_id_on_hand ON movement (order_line_id, on_hand)
;
CREATE INDEX ix_movement_project_id_item_id ON movement (project_id, item_id)
;
CREATE INDEX ix_movement_sums ON movement (item_id, project_id, kind, on_hand, reserved, needed)
;
CREATE INDEX ix_offer_price_offer_id_from_day ON offer_price (offer_id, from_day)
;
CREATE INDEX ix_offer_supplier_id ON offer (supplier_id)
;
CREATE INDEX ix_order_line_item_id ON order_line (item_id)
;
CREATE INDEX ix_past_row_kind_number_until ON past_row (kind, number, until)
;
CREATE INDEX ix_past_row_since ON past_row (since)
;
CREATE INDEX ix_past_row_until ON past_row (until)
;
CREATE INDEX ix_quote_project_id ON quote (project_id)
;
CREATE INDEX ix_tick_project_id_set_up_piece ON tick (project_id, set_up, piece)
;
CREATE INDEX ix_trial_section_cutter ON trial (section, cutter)
;
CREATE TABLE accepted_start (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	section TEXT NOT NULL,
	cutter TEXT NOT NULL,
	species TEXT NOT NULL,
	snug INTEGER NOT NULL,
	projection INTEGER NOT NULL,
	tip_diameter INTEGER NOT NULL,
	day TEXT NOT NULL,
	at TEXT NOT NULL,
	CONSTRAINT ck_accepted_start_section CHECK (section <> ''),
	CONSTRAINT ck_accepted_start_cutter CHECK (cutter IN ('close', 'free')),
	CONSTRAINT ck_accepted_start_snug CHECK (snug > 0),
	CONSTRAINT ck_accepted_start_projection CHECK (projection >= snug),
	CONSTRAINT ck_accepted_start_tip_diameter CHECK (tip_diameter > 0),
	CONSTRAINT ck_accepted_start_day CHECK (length(day) = 10)
)
 STRICT
;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL,
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
)
;
CREATE TABLE assembly (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	project_id INTEGER NOT NULL,
	position INTEGER NOT NULL,
	mark TEXT NOT NULL,
	kind TEXT NOT NULL,
	spec_json TEXT NOT NULL,
	version INTEGER NOT NULL,
	CONSTRAINT uq_assembly_project_id_mark UNIQUE (project_id, mark),
	CONSTRAINT ck_assembly_position CHECK (position >= 0),
	CONSTRAINT ck_assembly_mark CHECK (length(mark) BETWEEN 1 AND 12),
	CONSTRAINT ck_assembly_version CHECK (version >= 1),
	CONSTRAINT fk_assembly_project_id_project FOREIGN KEY(project_id) REFERENCES project (id) ON DELETE CASCADE
)
 STRICT
;
CREATE TABLE calibration (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	scale TEXT NOT NULL,
	section TEXT,
	cutter TEXT,
	reading INTEGER NOT NULL,
	measured INTEGER NOT NULL,
	day TEXT NOT NULL,
	at TEXT NOT NULL,
	CONSTRAINT ck_calibration_scale CHECK (scale IN ('depth', 'fence')),
	CONSTRAINT ck_calibration_section CHECK ((scale = 'depth') = (section IS NOT NULL)),
	CONSTRAINT ck_calibration_cutter CHECK ((scale = 'depth') = (cutter IS NOT NULL) AND (cutter IS NULL OR cutter IN ('close', 'free'))),
	CONSTRAINT ck_calibration_reading CHECK (reading >= 0),
	CONSTRAINT ck_calibration_measured CHECK (measured >= 0),
	CONSTRAINT ck_calibration_day CHECK (length(day) = 10)
)
 STRICT
;
CREATE TABLE device (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	name TEXT NOT NULL,
	role TEXT NOT NULL,
	secret_sha256 TEXT NOT NULL,
	paired_at TEXT NOT NULL,
	seen_at TEXT NOT NULL,
	ended_at TEXT,
	CONSTRAINT uq_device_secret_sha256 UNIQUE (secret_sha256),
	CONSTRAINT ck_device_name CHECK (length(name) BETWEEN 1 AND 60),
	CONSTRAINT ck_device_role CHECK (role IN ('reads', 'at_the_machine', 'everything')),
	CONSTRAINT ck_device_secret_sha256 CHECK (length(secret_sha256) = 64)
)
 STRICT
;
CREATE TABLE edit (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	at TEXT NOT NULL,
	doing TEXT NOT NULL,
	token TEXT NOT NULL,
	device TEXT NOT NULL,
	of_edit INTEGER,
	CONSTRAINT ck_edit_doing CHECK (doing IN ('found', 'edited', 'undone', 'brought_back'))
)
 STRICT
;
CREATE TABLE form_token (
	token TEXT NOT NULL,
	outcome TEXT NOT NULL,
	at TEXT NOT NULL, route TEXT DEFAULT '' NOT NULL, fingerprint TEXT DEFAULT '' NOT NULL CONSTRAINT ck_form_token_fingerprint CHECK (length(fingerprint) IN (0, 64)), sent_json TEXT DEFAULT '[]' NOT NULL,
	CONSTRAINT pk_form_token PRIMARY KEY (token),
	CONSTRAINT ck_form_token_token CHECK (token <> '')
)
 STRICT
;
CREATE TABLE item (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	kind TEXT NOT NULL,
	section TEXT NOT NULL,
	size INTEGER,
	material TEXT NOT NULL,
	width INTEGER,
	thickness INTEGER,
	name TEXT NOT NULL,
	minimum_stock INTEGER NOT NULL,
	version INTEGER NOT NULL,
	CONSTRAINT uq_item_name UNIQUE (name),
	CONSTRAINT ck_item_kind CHECK (kind IN ('key', 'plug', 'glue', 'bar', 'sheet', 'board', 'strip')),
	CONSTRAINT ck_item_sizes CHECK ((kind IN ('glue', 'board', 'strip')) = (size IS NULL) AND (kind IN ('bar', 'sheet', 'strip')) = (width IS NOT NULL) AND (kind IN ('bar', 'sheet', 'board', 'strip')) = (thickness IS NOT NULL)),
	CONSTRAINT ck_item_wood CHECK (NOT kind IN ('bar', 'sheet', 'board', 'strip') OR (material <> '' AND section = '')),
	CONSTRAINT ck_item_width CHECK (width > 0),
	CONSTRAINT ck_item_thickness CHECK (thickness > 0),
	CONSTRAINT ck_item_size CHECK (size > 0),
	CONSTRAINT ck_item_name CHECK (name <> ''),
	CONSTRAINT ck_item_minimum_stock CHECK (minimum_stock >= 0),
	CONSTRAINT ck_item_version CHECK (version >= 1)
)
 STRICT
;
CREATE TABLE moulding (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	name TEXT NOT NULL,
	day TEXT NOT NULL,
	spec_json TEXT NOT NULL,
	CONSTRAINT ck_moulding_name CHECK (name <> ''),
	CONSTRAINT ck_moulding_day CHECK (length(day) = 10)
)
 STRICT
;
CREATE TABLE movement (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	item_id INTEGER NOT NULL,
	kind TEXT NOT NULL,
	on_hand INTEGER NOT NULL,
	reserved INTEGER NOT NULL,
	needed INTEGER NOT NULL,
	project_id INTEGER,
	order_line_id INTEGER,
	counted INTEGER,
	note TEXT NOT NULL,
	at TEXT NOT NULL,
	CONSTRAINT ck_movement_project_id CHECK (project_id >= 1),
	CONSTRAINT ck_movement_counted CHECK (counted >= 0),
	CONSTRAINT ck_movement_order_line_id CHECK (order_line_id IS NULL OR kind = 'received'),
	CONSTRAINT ck_movement_kind CHECK ((kind = 'received' AND on_hand > 0 AND reserved = 0 AND needed = 0) OR (kind = 'used' AND on_hand < 0 AND reserved <= 0 AND needed = 0) OR (kind = 'returned' AND on_hand > 0 AND reserved >= 0 AND needed = 0) OR (kind = 'counted' AND reserved = 0 AND needed = 0) OR (kind = 'adjusted' AND on_hand <> 0 AND reserved = 0 AND needed = 0) OR (kind = 'reserved' AND on_hand = 0 AND reserved >= 0 AND needed > 0) OR (kind = 'released' AND on_hand = 0 AND reserved <= 0 AND needed < 0)),
	CONSTRAINT ck_movement_project CHECK ((kind IN ('used', 'returned', 'reserved', 'released')) = (project_id IS NOT NULL)),
	CONSTRAINT ck_movement_count CHECK ((kind = 'counted') = (counted IS NOT NULL)),
	CONSTRAINT fk_movement_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
	CONSTRAINT fk_movement_order_line_id_order_line FOREIGN KEY(order_line_id) REFERENCES order_line (id)
)
 STRICT
;
CREATE TABLE offer (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	item_id INTEGER NOT NULL,
	supplier_id INTEGER NOT NULL,
	size INTEGER NOT NULL,
	article TEXT NOT NULL,
	lead_days INTEGER NOT NULL,
	withdrawn INTEGER NOT NULL,
	version INTEGER NOT NULL,
	CONSTRAINT uq_offer_item_id_supplier_id_size UNIQUE (item_id, supplier_id, size),
	CONSTRAINT ck_offer_size CHECK (size >= 1),
	CONSTRAINT ck_offer_lead_days CHECK (lead_days >= 0),
	CONSTRAINT ck_offer_withdrawn CHECK (withdrawn IN (0, 1)),
	CONSTRAINT ck_offer_version CHECK (version >= 1),
	CONSTRAINT fk_offer_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
	CONSTRAINT fk_offer_supplier_id_supplier FOREIGN KEY(supplier_id) REFERENCES supplier (id)
)
 STRICT
;
CREATE TABLE offer_price (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	offer_id INTEGER NOT NULL,
	from_day TEXT NOT NULL,
	price_minor INTEGER NOT NULL,
	currency TEXT NOT NULL,
	at TEXT NOT NULL,
	CONSTRAINT ck_offer_price_from_day CHECK (length(from_day) = 10),
	CONSTRAINT ck_offer_price_price_minor CHECK (price_minor >= 0),
	CONSTRAINT ck_offer_price_currency CHECK (length(currency) = 3),
	CONSTRAINT fk_offer_price_offer_id_offer FOREIGN KEY(offer_id) REFERENCES offer (id)
)
 STRICT
;
CREATE TABLE order_end (
	order_id INTEGER NOT NULL,
	at TEXT NOT NULL,
	CONSTRAINT pk_order_end PRIMARY KEY (order_id),
	CONSTRAINT fk_order_end_order_id_placed_order FOREIGN KEY(order_id) REFERENCES placed_order (id)
)
 STRICT
;
CREATE TABLE order_line (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	order_id INTEGER NOT NULL,
	position INTEGER NOT NULL,
	item_id INTEGER NOT NULL,
	size INTEGER NOT NULL,
	packs INTEGER NOT NULL,
	price_minor INTEGER NOT NULL,
	article TEXT NOT NULL,
	lead_days INTEGER NOT NULL,
	due TEXT NOT NULL,
	CONSTRAINT uq_order_line_order_id_position UNIQUE (order_id, position),
	CONSTRAINT ck_order_line_position CHECK (position >= 1),
	CONSTRAINT ck_order_line_size CHECK (size >= 1),
	CONSTRAINT ck_order_line_packs CHECK (packs >= 1),
	CONSTRAINT ck_order_line_price_minor CHECK (price_minor >= 0),
	CONSTRAINT ck_order_line_lead_days CHECK (lead_days >= 0),
	CONSTRAINT ck_order_line_due CHECK (length(due) = 10),
	CONSTRAINT fk_order_line_order_id_placed_order FOREIGN KEY(order_id) REFERENCES placed_order (id),
	CONSTRAINT fk_order_line_item_id_item FOREIGN KEY(item_id) REFERENCES item (id)
)
 STRICT
;
CREATE TABLE order_project (
	order_id INTEGER NOT NULL,
	project_id INTEGER NOT NULL,
	project_name TEXT NOT NULL,
	CONSTRAINT pk_order_project PRIMARY KEY (order_id, project_id),
	CONSTRAINT ck_order_project_project_name CHECK (project_name <> ''),
	CONSTRAINT fk_order_project_order_id_placed_order FOREIGN KEY(order_id) REFERENCES placed_order (id)
)
 STRICT
;
CREATE TABLE past_file (
	sha256 TEXT NOT NULL,
	body BLOB NOT NULL,
	CONSTRAINT pk_past_file PRIMARY KEY (sha256),
	CONSTRAINT ck_past_file_sha256 CHECK (length(sha256) = 64)
)
 STRICT
;
CREATE TABLE past_row (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	kind TEXT NOT NULL,
	number INTEGER NOT NULL,
	table_name TEXT NOT NULL,
	row_key TEXT NOT NULL,
	since INTEGER NOT NULL,
	until INTEGER,
	in_bin INTEGER NOT NULL,
	row_json TEXT NOT NULL,
	CONSTRAINT ck_past_row_kind CHECK (kind <> ''),
	CONSTRAINT ck_past_row_table_name CHECK (table_name <> ''),
	CONSTRAINT ck_past_row_row_key CHECK (row_key <> ''),
	CONSTRAINT ck_past_row_in_bin CHECK (in_bin IN (0, 1) AND (in_bin = 0 OR until IS NOT NULL)),
	CONSTRAINT ck_past_row_order CHECK (until > since),
	CONSTRAINT fk_past_row_since_edit FOREIGN KEY(since) REFERENCES edit (id),
	CONSTRAINT fk_past_row_until_edit FOREIGN KEY(until) REFERENCES edit (id)
)
 STRICT
;
CREATE TABLE pattern (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	name TEXT NOT NULL,
	kind TEXT NOT NULL,
	document_json TEXT NOT NULL,
	made_from TEXT NOT NULL,
	created TEXT NOT NULL,
	version INTEGER NOT NULL,
	CONSTRAINT uq_pattern_name UNIQUE (name),
	CONSTRAINT ck_pattern_name CHECK (name <> ''),
	CONSTRAINT ck_pattern_kind CHECK (kind IN ('project', 'assembly')),
	CONSTRAINT ck_pattern_document_json CHECK (document_json <> ''),
	CONSTRAINT ck_pattern_made_from CHECK (made_from <> ''),
	CONSTRAINT ck_pattern_version CHECK (version >= 1)
)
 STRICT
;
CREATE TABLE photograph (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	project_id INTEGER NOT NULL,
	mark TEXT NOT NULL,
	caption TEXT NOT NULL,
	added_at TEXT NOT NULL,
	width INTEGER NOT NULL,
	height INTEGER NOT NULL,
	sha256 TEXT NOT NULL,
	body BLOB NOT NULL,
	thumbnail BLOB NOT NULL,
	CONSTRAINT uq_photograph_project_id_mark_sha256 UNIQUE (project_id, mark, sha256),
	CONSTRAINT ck_photograph_mark CHECK (length(mark) <= 40),
	CONSTRAINT ck_photograph_caption CHECK (length(caption) <= 200),
	CONSTRAINT ck_photograph_width CHECK (width > 0),
	CONSTRAINT ck_photograph_height CHECK (height > 0),
	CONSTRAINT ck_photograph_sha256 CHECK (length(sha256) = 64),
	CONSTRAINT ck_photograph_body CHECK (length(body) BETWEEN 1 AND 4000000),
	CONSTRAINT ck_photograph_thumbnail CHECK (length(thumbnail) BETWEEN 1 AND 200000),
	CONSTRAINT fk_photograph_project_id_project FOREIGN KEY(project_id) REFERENCES project (id) ON DELETE CASCADE
)
 STRICT
;
CREATE TABLE placed_order (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	number INTEGER NOT NULL,
	supplier_id INTEGER NOT NULL,
	supplier_name TEXT NOT NULL,
	currency TEXT NOT NULL,
	shipping_minor INTEGER NOT NULL,
	note TEXT NOT NULL,
	placed_at TEXT NOT NULL,
	CONSTRAINT uq_placed_order_number UNIQUE (number),
	CONSTRAINT ck_placed_order_number CHECK (number >= 1),
	CONSTRAINT ck_placed_order_supplier_name CHECK (supplier_name <> ''),
	CONSTRAINT ck_placed_order_currency CHECK (length(currency) = 3),
	CONSTRAINT ck_placed_order_shipping_minor CHECK (shipping_minor >= 0),
	CONSTRAINT fk_placed_order_supplier_id_supplier FOREIGN KEY(supplier_id) REFERENCES supplier (id)
)
 STRICT
;
CREATE TABLE plug (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	material TEXT NOT NULL,
	height INTEGER NOT NULL,
	price_minor INTEGER,
	version INTEGER NOT NULL,
	CONSTRAINT uq_plug_material_height UNIQUE (material, height),
	CONSTRAINT ck_plug_material CHECK (material <> ''),
	CONSTRAINT ck_plug_height CHECK (height > 0),
	CONSTRAINT ck_plug_price_minor CHECK (price_minor >= 0),
	CONSTRAINT ck_plug_version CHECK (version >= 1)
)
 STRICT
;
CREATE TABLE project (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	name TEXT NOT NULL,
	customer TEXT,
	units TEXT NOT NULL,
	currency TEXT,
	sections_json TEXT,
	rules_json TEXT,
	keys_json TEXT,
	version INTEGER NOT NULL,
	created TEXT NOT NULL,
	updated TEXT NOT NULL,
	stage TEXT NOT NULL,
	starts_json TEXT,
	climate_json TEXT,
	stock_json TEXT,
	parts_json TEXT,
	quote_json TEXT,
	due TEXT,
	put_away_at TEXT,
	note TEXT,
	notes_json TEXT,
	CONSTRAINT ck_project_name CHECK (name <> ''),
	CONSTRAINT ck_project_units CHECK (units IN ('mm', 'in')),
	CONSTRAINT ck_project_currency CHECK (length(currency) = 3),
	CONSTRAINT ck_project_version CHECK (version >= 1),
	CONSTRAINT ck_project_stage CHECK (stage IN ('asked', 'planned', 'going_ahead', 'built', 'delivered')),
	CONSTRAINT ck_project_due CHECK (length(due) = 10),
	CONSTRAINT ck_project_note CHECK (note <> ''),
	CONSTRAINT ck_project_put_away CHECK (put_away_at IS NULL OR stage <> 'going_ahead')
)
 STRICT
;
CREATE TABLE quote (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	number INTEGER NOT NULL,
	project_id INTEGER NOT NULL,
	project_name TEXT NOT NULL,
	customer TEXT,
	currency TEXT NOT NULL,
	total_minor INTEGER NOT NULL,
	issued_at TEXT NOT NULL,
	valid_until TEXT NOT NULL,
	program TEXT NOT NULL,
	templates TEXT NOT NULL,
	snapshot TEXT NOT NULL,
	snapshot_sha256 TEXT NOT NULL,
	CONSTRAINT uq_quote_number UNIQUE (number),
	CONSTRAINT ck_quote_number CHECK (number >= 1),
	CONSTRAINT ck_quote_project_id CHECK (project_id >= 1),
	CONSTRAINT ck_quote_project_name CHECK (project_name <> ''),
	CONSTRAINT ck_quote_currency CHECK (length(currency) = 3),
	CONSTRAINT ck_quote_total_minor CHECK (total_minor >= 0),
	CONSTRAINT ck_quote_valid_until CHECK (length(valid_until) = 10),
	CONSTRAINT ck_quote_program CHECK (program <> ''),
	CONSTRAINT ck_quote_templates CHECK (length(templates) = 64),
	CONSTRAINT ck_quote_snapshot_sha256 CHECK (length(snapshot_sha256) = 64)
)
 STRICT
;
CREATE TABLE quote_document (
	quote_id INTEGER NOT NULL,
	kind TEXT NOT NULL,
	paper TEXT NOT NULL,
	sha256 TEXT NOT NULL,
	body BLOB NOT NULL,
	CONSTRAINT pk_quote_document PRIMARY KEY (quote_id, kind, paper),
	CONSTRAINT ck_quote_document_kind CHECK (kind <> ''),
	CONSTRAINT ck_quote_document_paper CHECK (paper <> ''),
	CONSTRAINT ck_quote_document_sha256 CHECK (length(sha256) = 64),
	CONSTRAINT ck_quote_document_body CHECK (length(body) > 0),
	CONSTRAINT fk_quote_document_quote_id_quote FOREIGN KEY(quote_id) REFERENCES quote (id)
)
 STRICT
;
CREATE TABLE revision (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	project_id INTEGER NOT NULL,
	number INTEGER NOT NULL,
	project_name TEXT NOT NULL,
	customer TEXT,
	issued_at TEXT NOT NULL,
	program TEXT NOT NULL,
	templates TEXT NOT NULL,
	snapshot TEXT NOT NULL,
	snapshot_sha256 TEXT NOT NULL,
	CONSTRAINT uq_revision_project_id_number UNIQUE (project_id, number),
	CONSTRAINT ck_revision_project_id CHECK (project_id >= 1),
	CONSTRAINT ck_revision_number CHECK (number >= 1),
	CONSTRAINT ck_revision_project_name CHECK (project_name <> ''),
	CONSTRAINT ck_revision_program CHECK (program <> ''),
	CONSTRAINT ck_revision_templates CHECK (length(templates) = 64),
	CONSTRAINT ck_revision_snapshot_sha256 CHECK (length(snapshot_sha256) = 64)
)
 STRICT
;
CREATE TABLE revision_document (
	revision_id INTEGER NOT NULL,
	kind TEXT NOT NULL,
	paper TEXT NOT NULL,
	sha256 TEXT NOT NULL,
	body BLOB NOT NULL,
	CONSTRAINT pk_revision_document PRIMARY KEY (revision_id, kind, paper),
	CONSTRAINT ck_revision_document_kind CHECK (kind <> ''),
	CONSTRAINT ck_revision_document_paper CHECK (paper <> ''),
	CONSTRAINT ck_revision_document_sha256 CHECK (length(sha256) = 64),
	CONSTRAINT ck_revision_document_body CHECK (length(body) > 0),
	CONSTRAINT fk_revision_document_revision_id_revision FOREIGN KEY(revision_id) REFERENCES revision (id)
)
 STRICT
;
CREATE TABLE section (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	position INTEGER NOT NULL,
	name TEXT NOT NULL,
	waist INTEGER NOT NULL,
	half_depth INTEGER NOT NULL,
	flank INTEGER NOT NULL,
	tip_diameter INTEGER NOT NULL,
	free_tip_diameter INTEGER,
	drive_limit INTEGER NOT NULL,
	stock_from INTEGER NOT NULL,
	stock_to INTEGER NOT NULL,
	reach_limit INTEGER NOT NULL,
	version INTEGER NOT NULL, "end" TEXT DEFAULT 'round' NOT NULL CONSTRAINT ck_section_end CHECK ("end" IN ('round', 'square')),
	CONSTRAINT uq_section_name UNIQUE (name),
	CONSTRAINT ck_section_name CHECK (name <> ''),
	CONSTRAINT ck_section_waist CHECK (waist > 0),
	CONSTRAINT ck_section_half_depth CHECK (half_depth > 0),
	CONSTRAINT ck_section_flank CHECK (flank BETWEEN 1 AND 45000000),
	CONSTRAINT ck_section_tip_diameter CHECK (tip_diameter > waist),
	CONSTRAINT ck_section_free_tip_diameter CHECK (free_tip_diameter > tip_diameter),
	CONSTRAINT ck_section_drive_limit CHECK (drive_limit > 0),
	CONSTRAINT ck_section_stock CHECK (stock_from > 0 AND stock_to >= stock_from),
	CONSTRAINT ck_section_reach_limit CHECK (reach_limit > 0),
	CONSTRAINT ck_section_position CHECK (position >= 0),
	CONSTRAINT ck_section_version CHECK (version >= 1)
)
 STRICT
;
CREATE TABLE section_length (
	section_id INTEGER NOT NULL,
	length INTEGER NOT NULL,
	price_minor INTEGER,
	CONSTRAINT pk_section_length PRIMARY KEY (section_id, length),
	CONSTRAINT ck_section_length_length CHECK (length > 0),
	CONSTRAINT ck_section_length_price_minor CHECK (price_minor >= 0),
	CONSTRAINT fk_section_length_section_id_section FOREIGN KEY(section_id) REFERENCES section (id) ON DELETE CASCADE
)
 STRICT
;
CREATE TABLE shop (
	id INTEGER NOT NULL,
	name TEXT NOT NULL,
	units TEXT NOT NULL,
	currency TEXT NOT NULL,
	rules_json TEXT NOT NULL,
	version INTEGER NOT NULL,
	edition INTEGER NOT NULL, quote_json TEXT,
	CONSTRAINT pk_shop PRIMARY KEY (id),
	CONSTRAINT ck_shop_one CHECK (id = 1),
	CONSTRAINT ck_shop_units CHECK (units IN ('mm', 'in')),
	CONSTRAINT ck_shop_currency CHECK (length(currency) = 3),
	CONSTRAINT ck_shop_version CHECK (version >= 1),
	CONSTRAINT ck_shop_edition CHECK (edition >= 1)
)
 STRICT
;
CREATE TABLE sqlite_sequence(name,seq)
;
CREATE TABLE start_ended (
	start_id INTEGER NOT NULL,
	at TEXT NOT NULL,
	CONSTRAINT pk_start_ended PRIMARY KEY (start_id),
	CONSTRAINT fk_start_ended_start_id_accepted_start FOREIGN KEY(start_id) REFERENCES accepted_start (id)
)
 STRICT
;
CREATE TABLE start_trial (
	start_id INTEGER NOT NULL,
	position INTEGER NOT NULL,
	trial_id INTEGER NOT NULL,
	CONSTRAINT pk_start_trial PRIMARY KEY (start_id, position),
	CONSTRAINT ck_start_trial_position CHECK (position >= 0),
	CONSTRAINT fk_start_trial_start_id_accepted_start FOREIGN KEY(start_id) REFERENCES accepted_start (id),
	CONSTRAINT fk_start_trial_trial_id_trial FOREIGN KEY(trial_id) REFERENCES trial (id)
)
 STRICT
;
CREATE TABLE supplier (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	name TEXT NOT NULL,
	currency TEXT NOT NULL,
	shipping_minor INTEGER NOT NULL,
	minimum_order_minor INTEGER NOT NULL,
	version INTEGER NOT NULL,
	CONSTRAINT uq_supplier_name UNIQUE (name),
	CONSTRAINT ck_supplier_name CHECK (name <> ''),
	CONSTRAINT ck_supplier_currency CHECK (length(currency) = 3),
	CONSTRAINT ck_supplier_shipping_minor CHECK (shipping_minor >= 0),
	CONSTRAINT ck_supplier_minimum_order_minor CHECK (minimum_order_minor >= 0),
	CONSTRAINT ck_supplier_version CHECK (version >= 1)
)
 STRICT
;
CREATE TABLE tick (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	uuid TEXT NOT NULL,
	project_id INTEGER NOT NULL,
	set_up TEXT NOT NULL,
	piece TEXT NOT NULL,
	count INTEGER NOT NULL,
	ticked_at TEXT NOT NULL,
	received_at TEXT NOT NULL,
	CONSTRAINT uq_tick_uuid UNIQUE (uuid),
	CONSTRAINT ck_tick_uuid CHECK (length(uuid) = 36),
	CONSTRAINT ck_tick_project_id CHECK (project_id >= 1),
	CONSTRAINT ck_tick_set_up CHECK (set_up <> ''),
	CONSTRAINT ck_tick_piece CHECK (piece <> ''),
	CONSTRAINT ck_tick_count CHECK (count <> 0)
)
 STRICT
;
CREATE TABLE trial (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	section TEXT NOT NULL,
	cutter TEXT NOT NULL,
	tip_diameter INTEGER NOT NULL,
	species TEXT NOT NULL,
	thickness INTEGER NOT NULL,
	projection INTEGER NOT NULL,
	depth INTEGER NOT NULL,
	fence_reading INTEGER NOT NULL,
	outcome TEXT NOT NULL,
	gap INTEGER,
	stopped_at INTEGER,
	day TEXT NOT NULL,
	at TEXT NOT NULL,
	CONSTRAINT ck_trial_section CHECK (section <> ''),
	CONSTRAINT ck_trial_cutter CHECK (cutter IN ('close', 'free')),
	CONSTRAINT ck_trial_tip_diameter CHECK (tip_diameter > 0),
	CONSTRAINT ck_trial_species CHECK (species <> ''),
	CONSTRAINT ck_trial_thickness CHECK (thickness > 0),
	CONSTRAINT ck_trial_projection CHECK (projection > 0),
	CONSTRAINT ck_trial_depth CHECK (depth > 0),
	CONSTRAINT ck_trial_fence_reading CHECK (fence_reading >= 0),
	CONSTRAINT ck_trial_outcome CHECK (outcome IN ('held_apart', 'loose', 'snug', 'tight', 'burst', 'stopped')),
	CONSTRAINT ck_trial_gap CHECK ((outcome IN ('held_apart', 'loose')) = (gap IS NOT NULL) AND (gap IS NULL OR gap > 0)),
	CONSTRAINT ck_trial_stopped_at CHECK ((outcome = 'stopped') = (stopped_at IS NOT NULL) AND (stopped_at IS NULL OR (stopped_at >= 0 AND stopped_at < depth))),
	CONSTRAINT ck_trial_day CHECK (length(day) = 10)
)
 STRICT
;
CREATE TABLE trial_withdrawn (
	trial_id INTEGER NOT NULL,
	why TEXT NOT NULL,
	at TEXT NOT NULL,
	CONSTRAINT pk_trial_withdrawn PRIMARY KEY (trial_id),
	CONSTRAINT fk_trial_withdrawn_trial_id_trial FOREIGN KEY(trial_id) REFERENCES trial (id)
)
 STRICT
;
CREATE TRIGGER accepted_start_no_delete BEFORE DELETE ON accepted_start BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER accepted_start_no_update BEFORE UPDATE ON accepted_start BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER calibration_no_delete BEFORE DELETE ON calibration BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER calibration_no_update BEFORE UPDATE ON calibration BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER movement_counted BEFORE INSERT ON movement WHEN NEW.counted IS NOT NULL AND (SELECT coalesce(sum(on_hand), 0) FROM movement WHERE item_id = NEW.item_id) + NEW.on_hand <> NEW.counted BEGIN SELECT RAISE(ABORT, 'on hand is what was counted'); END
;
CREATE TRIGGER movement_needed BEFORE INSERT ON movement WHEN NEW.needed < 0 AND (SELECT coalesce(sum(needed), 0) FROM movement WHERE item_id = NEW.item_id AND project_id = NEW.project_id) + NEW.needed < 0 BEGIN SELECT RAISE(ABORT, 'needed cannot go below 0'); END
;
CREATE TRIGGER movement_no_delete BEFORE DELETE ON movement BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER movement_no_update BEFORE UPDATE ON movement BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER movement_on_hand BEFORE INSERT ON movement WHEN NEW.on_hand < 0 AND (SELECT coalesce(sum(on_hand), 0) FROM movement WHERE item_id = NEW.item_id) + NEW.on_hand < 0 BEGIN SELECT RAISE(ABORT, 'on hand cannot go below 0'); END
;
CREATE TRIGGER movement_order_line BEFORE INSERT ON movement WHEN NEW.order_line_id IS NOT NULL AND ((SELECT coalesce(sum(on_hand), 0) FROM movement WHERE order_line_id = NEW.order_line_id) + NEW.on_hand > (SELECT size * packs FROM order_line WHERE id = NEW.order_line_id) OR NEW.item_id <> (SELECT item_id FROM order_line WHERE id = NEW.order_line_id)) BEGIN SELECT RAISE(ABORT, 'no more is received than was ordered'); END
;
CREATE TRIGGER movement_reserved BEFORE INSERT ON movement WHEN NEW.reserved < 0 AND (SELECT coalesce(sum(reserved), 0) FROM movement WHERE item_id = NEW.item_id AND project_id = NEW.project_id) + NEW.reserved < 0 BEGIN SELECT RAISE(ABORT, 'reserved cannot go below 0'); END
;
CREATE TRIGGER movement_returned BEFORE INSERT ON movement WHEN NEW.kind = 'returned' AND (SELECT coalesce(sum(on_hand), 0) FROM movement WHERE item_id = NEW.item_id AND project_id = NEW.project_id) + NEW.on_hand > 0 BEGIN SELECT RAISE(ABORT, 'no more comes back than was used'); END
;
CREATE TRIGGER offer_price_no_delete BEFORE DELETE ON offer_price BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER offer_price_no_update BEFORE UPDATE ON offer_price BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER order_end_no_delete BEFORE DELETE ON order_end BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER order_end_no_update BEFORE UPDATE ON order_end BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER order_line_no_delete BEFORE DELETE ON order_line BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER order_line_no_update BEFORE UPDATE ON order_line BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER order_project_no_delete BEFORE DELETE ON order_project BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER order_project_no_update BEFORE UPDATE ON order_project BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER placed_order_in_turn BEFORE INSERT ON placed_order WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM placed_order) BEGIN SELECT RAISE(ABORT, 'orders are numbered one after the other'); END
;
CREATE TRIGGER placed_order_no_delete BEFORE DELETE ON placed_order BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER placed_order_no_update BEFORE UPDATE ON placed_order BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END
;
CREATE TRIGGER quote_document_no_delete BEFORE DELETE ON quote_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
;
CREATE TRIGGER quote_document_no_update BEFORE UPDATE ON quote_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
;
CREATE TRIGGER quote_in_turn BEFORE INSERT ON quote WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM quote) BEGIN SELECT RAISE(ABORT, 'quotes are numbered one after the other'); END
;
CREATE TRIGGER quote_no_delete BEFORE DELETE ON quote BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
;
CREATE TRIGGER quote_no_update BEFORE UPDATE ON quote BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
;
CREATE TRIGGER revision_document_no_delete BEFORE DELETE ON revision_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
;
CREATE TRIGGER revision_document_no_update BEFORE UPDATE ON revision_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
;
CREATE TRIGGER revision_in_turn BEFORE INSERT ON revision WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM revision WHERE project_id = NEW.project_id) BEGIN SELECT RAISE(ABORT, 'revisions are numbered one after the other'); END
;
CREATE TRIGGER revision_no_delete BEFORE DELETE ON revision BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
;
CREATE TRIGGER revision_no_update BEFORE UPDATE ON revision BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
;
CREATE TRIGGER start_ended_no_delete BEFORE DELETE ON start_ended BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER start_ended_no_update BEFORE UPDATE ON start_ended BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER start_trial_no_delete BEFORE DELETE ON start_trial BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER start_trial_no_update BEFORE UPDATE ON start_trial BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER tick_no_delete BEFORE DELETE ON tick BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER tick_no_update BEFORE UPDATE ON tick BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER trial_no_delete BEFORE DELETE ON trial BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER trial_no_update BEFORE UPDATE ON trial BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER trial_withdrawn_no_delete BEFORE DELETE ON trial_withdrawn BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
;
CREATE TRIGGER trial_withdrawn_no_update BEFORE UPDATE ON trial_withdrawn BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END
