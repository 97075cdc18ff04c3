PRAGMA application_id=1148613740;
PRAGMA user_version=13;
BEGIN TRANSACTION;
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
INSERT INTO "accepted_start" VALUES(1,'14','close','oak',6200000,6300000,13815000,'2026-03-02','2026-03-06T08:30:00.000000Z');
INSERT INTO "accepted_start" VALUES(2,'10','free','',5900000,6000000,10500000,'2026-03-03','2026-03-06T08:30:00.000000Z');
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0013');
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
INSERT INTO "assembly" VALUES(1,1,0,'A','mitred_frame','{"kind":"mitred_frame","mark":"A","quantity":3,"keys":{"section":"14","plug":{"material":"wenge","height":3}},"joints":{"J1":{"count":2,"plug":null}},"measure":"rabbet","width":400.05,"height":300,"stock":{"width":45,"thickness":20,"rabbet_width":6,"rabbet_depth":10,"front":[[0,20],[30,20],[45,12]]}}',1);
INSERT INTO "assembly" VALUES(2,1,1,'B','railed_frame','{"kind":"railed_frame","mark":"B","width":600,"height":720,"thickness":20,"stile":45,"top_rail":45,"bottom_rail":60,"mid_rail":38,"rows":[{"opening":140},{"opening":"rest","columns":[200.025,"rest"]}],"panel":{"fit":"groove","depth":10,"width":6,"thickness":6}}',1);
INSERT INTO "assembly" VALUES(3,1,2,'C','box','{"kind":"box","mark":"C","measure":"inside","length":280,"width":180,"height":90,"wall":12,"corner":"mitre","bottom":{"fit":"rabbet","thickness":5,"depth":5},"lid":{"height":30,"kerf":2,"lip":6,"clearance":0.1}}',1);
INSERT INTO "assembly" VALUES(4,1,3,'D','carcass','{"kind":"carcass","mark":"D","width":800,"height":900,"depth":350,"thickness":18,"corner":"top_over","shelves":[300,600],"back":{"fit":"groove","thickness":6,"depth":8}}',1);
INSERT INTO "assembly" VALUES(5,1,4,'E','single_joint','{"kind":"single_joint","mark":"E","breadth":63.64,"run":20,"angle":45.0,"behind":[60,60]}',1);
INSERT INTO "assembly" VALUES(6,2,0,'A','single_joint','{"kind":"single_joint","mark":"A","breadth":60,"run":20,"behind":[60,60]}',1);
INSERT INTO "assembly" VALUES(7,2,1,'B','single_joint','{"kind":"single_joint","mark":"B","quantity":3,"breadth":60,"run":20,"behind":[60,60]}',1);
INSERT INTO "assembly" VALUES(8,4,0,'A','single_joint','{"kind":"single_joint","mark":"A","name":"loose_joint","quantity":2,"material":"standard \"oversize\" oak","breadth":80,"run":90,"angle":45.0,"behind":[60,60],"entry":"both"}',1);
INSERT INTO "assembly" VALUES(9,4,1,'B','carcass','{"kind":"carcass","mark":"B","keys":{"section":"10"},"width":600,"height":720,"depth":300,"thickness":19,"corner":"top_between","shelves":[340]}',1);
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
INSERT INTO "calibration" VALUES(1,'depth','14','close',16500000,16800000,'2026-03-02','2026-03-06T08:30:00.000000Z');
INSERT INTO "calibration" VALUES(2,'depth','10','free',22500000,22400000,'2026-03-03','2026-03-06T08:30:00.000000Z');
INSERT INTO "calibration" VALUES(3,'fence',NULL,NULL,12000000,12100000,'2026-03-03','2026-03-06T08:30:00.000000Z');
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
INSERT INTO "device" VALUES(1,'Tablet at the bench','at_the_machine','abababababababababababababababababababababababababababababababab','2026-03-06T08:30:00.000000Z','2026-03-06T08:30:00.000000Z',NULL);
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
INSERT INTO "edit" VALUES(1,'2026-03-02T08:30:00.000000Z','edited','a-form-token-0001','',NULL);
CREATE TABLE form_token (
	token TEXT NOT NULL, 
	outcome TEXT NOT NULL, 
	at TEXT NOT NULL, route TEXT DEFAULT '' NOT NULL, fingerprint TEXT DEFAULT '' NOT NULL CONSTRAINT ck_form_token_fingerprint CHECK (length(fingerprint) IN (0, 64)), sent_json TEXT DEFAULT '[]' NOT NULL, 
	CONSTRAINT pk_form_token PRIMARY KEY (token), 
	CONSTRAINT ck_form_token_token CHECK (token <> '')
)
 STRICT

;
INSERT INTO "form_token" VALUES('a-form-token-0001','/','2026-03-02T08:30:00.000000Z','','','[]');
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
INSERT INTO "item" VALUES(1,'key','14',16000000,'',NULL,NULL,'key 14 × 16',50,1);
INSERT INTO "item" VALUES(2,'bar','',2400000000,'ash',45000000,24000000,'ash 45 × 24, 2400 long',4,1);
INSERT INTO "item" VALUES(3,'board','',NULL,'ash',NULL,27000000,'ash board 27',0,1);
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
INSERT INTO "moulding" VALUES(1,'No. 7','2026-03-02','{"name":"No. 7","stock":{"width":45,"thickness":20,"rabbet_width":6,"rabbet_depth":10,"front":null},"angle":45.0,"section":"14","cutter":"close","projection":6.3,"fence_readings":[12,33.5],"day":"2026-03-02"}');
INSERT INTO "moulding" VALUES(2,'standard ovolo','2026-03-02','{"name":"standard ovolo","stock":{"width":45,"thickness":20,"rabbet_width":6,"rabbet_depth":10,"front":null},"angle":45.0,"section":"14","cutter":"free","projection":6.3,"fence_readings":[12,33.5],"day":"2026-03-02"}');
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
INSERT INTO "movement" VALUES(1,1,'received',100,0,0,NULL,1,NULL,'','2026-03-02T08:30:00.000000Z');
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
INSERT INTO "offer" VALUES(1,1,1,100,'K14-16/100',5,0,1);
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
INSERT INTO "offer_price" VALUES(1,1,'2026-03-02',1290,'EUR','2026-03-02T08:30:00.000000Z');
CREATE TABLE order_end (
	order_id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_order_end PRIMARY KEY (order_id), 
	CONSTRAINT fk_order_end_order_id_placed_order FOREIGN KEY(order_id) REFERENCES placed_order (id)
)
 STRICT

;
INSERT INTO "order_end" VALUES(1,'2026-03-02T08:30:00.000000Z');
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
INSERT INTO "order_line" VALUES(1,1,1,1,100,2,1290,'K14-16/100',5,'2026-03-07');
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
INSERT INTO "order_project" VALUES(1,1,'Window seat');
CREATE TABLE past_file (
	sha256 TEXT NOT NULL, 
	body BLOB NOT NULL, 
	CONSTRAINT pk_past_file PRIMARY KEY (sha256), 
	CONSTRAINT ck_past_file_sha256 CHECK (length(sha256) = 64)
)
 STRICT

;
INSERT INTO "past_file" VALUES('a8100ae6aa1940d0b663bb31cd466142ebbdbd5187131b92d93818987832eb89',X'FF');
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
INSERT INTO "past_row" VALUES(1,'plug',9,'plug','9',1,NULL,0,'{}');
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
INSERT INTO "photograph" VALUES(1,1,'','The corner, open','2026-03-02T08:30:00.000000Z',4,3,'6e568e1f67fba258184c78181539e5e8fdee447e49bb706fc0ea34fbf12336a5',X'FFD8FF',X'FFD8FF');
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
INSERT INTO "placed_order" VALUES(1,1,1,'North','EUR',690,'','2026-03-02T08:30:00.000000Z');
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
INSERT INTO "plug" VALUES(1,'oak',3000000,5,1);
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
INSERT INTO "project" VALUES(1,'Everything','Ålund & søn','in','SEK','[{"name":"14","waist":11.2,"half_depth":6,"flank":12.0,"tip_diameter":13.815,"free_tip_diameter":null,"lengths":[16,22,38],"drive_limit":60,"stock_from":14,"stock_to":40,"reach_limit":40}]','{"wall":2.38125,"skin":1.5,"web":2,"preload":0.1,"squeeze_limit":0.25,"recess":0.5,"least_recess":0.3,"plug_proud":0.5,"stroke":85,"setting_step":0.5,"scale_tip_diameter":null,"hold_target":0.8,"test_joints":1,"spare":0.1,"glue_spread":200.0,"kerf":3.2,"change_minutes":{"cutter":10.0,"projection":5.0,"fence":4.0,"fence_reading":1.0,"depth_stop":1.0,"clamp_height":0.5}}','{"section":"14"}',2,'2026-03-02T08:30:00.000000Z','2026-03-02T08:30:00.000000Z','going_ahead',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO "project" VALUES(2,'Window seat','Ms Ålund','mm',NULL,NULL,NULL,NULL,1,'2026-03-02T08:30:00.000000Z','2026-03-02T08:30:00.000000Z','planned',NULL,NULL,NULL,NULL,'{}',NULL,NULL,NULL,NULL);
INSERT INTO "project" VALUES(4,'Bandsaw stand','Ms Ålund','mm','SEK','[{"name":"14","waist":11.2,"half_depth":6,"flank":12.0,"tip_diameter":13.815,"free_tip_diameter":14.2,"lengths":[16,22,38],"drive_limit":60,"stock_from":14,"stock_to":40,"reach_limit":40},{"name":"10","waist":8,"half_depth":4.5,"flank":12.0,"tip_diameter":10.2,"free_tip_diameter":10.5,"lengths":[16,22,38],"drive_limit":22,"stock_from":14,"stock_to":40,"reach_limit":40}]','{"wall":2,"skin":1.5,"web":2,"preload":0.1,"squeeze_limit":0.25,"recess":0.5,"least_recess":0.3,"plug_proud":0.5,"stroke":80,"setting_step":0.5,"scale_tip_diameter":null,"hold_target":0.8,"test_joints":1,"spare":0.05,"glue_spread":200.0,"kerf":3.2,"fence_clearance":2,"least_piece":150,"milling_minutes":0.5,"driving_minutes":0.25,"change_minutes":{"cutter":10.0,"projection":5.0,"fence":4.0,"fence_reading":1.0,"depth_stop":1.0,"clamp_height":0.5}}',NULL,1,'2026-03-06T09:15:00.000000Z','2026-03-06T09:15:00.000000Z','planned','[{"section":"14","cutter":"close","species":"oak","snug":6.2,"projection":6.3,"tip_diameter":13.815,"trials":[1],"day":"2026-03-02"},{"section":"10","cutter":"free","species":null,"snug":5.9,"projection":6,"tip_diameter":10.5,"trials":[2],"day":"2026-03-03"}]','{"from":{"moisture":8.5},"to":{"temperature":19,"humidity":62}}','[{"item":"oak 45 × 24","stock":[{"length":2150,"count":3}]}]','{"A1":{"note":"out of one board"}}',NULL,NULL,NULL,NULL,NULL);
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
INSERT INTO "quote" VALUES(1,1,2,'Window seat','Ilse Brandt','EUR',48250,'2026-03-06T08:30:00.000000Z','2026-04-05','0.1.0','cdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcd','{}','44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a');
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
INSERT INTO "quote_document" VALUES(1,'quote','A4','315d429b7714cedb6ad04ac31240145257692630457f3c88253c5beceac76027',X'25504446');
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
INSERT INTO "revision" VALUES(1,1,1,'Everything','Ålund & søn','2026-03-03T09:15:00.000000Z','0.1.0','abababababababababababababababababababababababababababababababab','{"name":"Everything","revision":1}','065df7f722c1c782e554b62d23ab1d0128ae2e3e0d1f1eefb4d7a277e9dfdc55');
INSERT INTO "revision" VALUES(2,1,2,'Everything','Ålund & søn','2026-03-04T09:15:00.000000Z','0.1.0','abababababababababababababababababababababababababababababababab','{"name":"Everything","revision":2}','9625b7771c654e5f4219b6b6a78578f74fd7a9d55e5c0c19f6f3f06384cc6379');
INSERT INTO "revision" VALUES(3,3,1,'Gone by now',NULL,'2026-03-05T09:15:00.000000Z','0.1.0','abababababababababababababababababababababababababababababababab','{"name":"Gone by now","revision":1}','ed56c0a87e78d37c27f154728ad3c2e9b995ba3731cb0c7db814f83ae8dff591');
INSERT INTO "revision" VALUES(4,4,1,'Bandsaw stand','Ms Ålund','2026-03-06T09:15:00.000000Z','0.1.0','cdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcd','{"format":"dovetally-issue","prices":{"currency":"EUR","keys":[{"length":16.0,"price":12,"section":"14"},{"length":16.0,"price":31,"section":"18"}],"plugs":[{"height":3.0,"material":"oak","price":5}]},"project":{"assemblies":[{"angle":45.0,"behind":[60,60],"breadth":80,"entry":"both","kind":"loose_joint","mark":"A","material":"standard \"oversize\" oak","name":"loose_joint","quantity":2,"run":90},{"corner":"top_between","depth":300,"height":720,"keys":{"section":"10"},"kind":"carcass","mark":"B","shelves":[340],"thickness":19,"width":600}],"currency":"SEK","customer":"Ms Ålund","format":"dovetally-project","name":"Bandsaw stand","rules":{"change_minutes":{"clamp_height":0.5,"cutter":10.0,"depth_stop":1.0,"fence":4.0,"fence_reading":1.0,"projection":5.0},"driving_minutes":0.25,"fence_clearance":2,"glue_spread":200.0,"hold_target":0.8,"kerf":3.2,"least_piece":150,"least_recess":0.3,"milling_minutes":0.5,"plug_proud":0.5,"preload":0.1,"recess":0.5,"scale_tip_diameter":null,"setting_step":0.5,"skin":1.5,"spare":0.05,"squeeze_limit":0.25,"stroke":80,"test_joints":1,"wall":2,"web":2},"sections":[{"drive_limit":60,"flank":12.0,"half_depth":6,"lengths":[16,22,38],"name":"14","oversize_tip_diameter":14.2,"reach_limit":40,"stock_from":14,"stock_to":40,"tip_diameter":13.815,"waist":11.2},{"drive_limit":22,"flank":12.0,"half_depth":4.5,"lengths":[16,22,38],"name":"10","oversize_tip_diameter":10.5,"reach_limit":40,"stock_from":14,"stock_to":40,"tip_diameter":10.2,"waist":8}],"starts":[{"cutter":"standard","day":"2026-03-02","projection":6.3,"section":"14","snug":6.2,"species":"oak","tip_diameter":13.815,"trials":[1]},{"cutter":"oversize","day":"2026-03-03","projection":6,"section":"10","snug":5.9,"tip_diameter":10.5,"trials":[2]}],"units":"mm","version":1},"shop":"","takeoff":{"assemblies":[{"joints":[{"alternatives":[{"count":2,"fits":true,"hold":0.844,"reach":20,"section":"14"},{"count":2,"fits":true,"hold":0.844,"reach":20,"section":"10"}],"angle":45,"breadth":80,"cutter":"standard","depth_stop":38.5,"hold":0.844,"kind":"mitre","mark":"A-J1","members":["A1","A2"],"notes":["No section recommended for 56.57 mm stock fits here; 14 is the largest that does."],"projection":6.251,"quantity":2,"reach":20,"run":90,"section":"14","slots":[{"centre":20,"depth":38.5,"entry":"back","keys":[38],"recess":0.5},{"centre":60,"depth":38.5,"entry":"back","keys":[38],"recess":0.5},{"centre":20,"depth":38.5,"entry":"front","keys":[38],"recess":0.5},{"centre":60,"depth":38.5,"entry":"front","keys":[38],"recess":0.5}],"snug_projection":6.151}],"mark":"A","members":[{"ends":[90,45],"length":60,"mark":"A1","material":"standard \"oversize\" oak","name":"piece left, at least","quantity":2,"thickness":90,"width":56.569},{"ends":[90,45],"length":60,"mark":"A2","material":"standard \"oversize\" oak","name":"piece right, at least","quantity":2,"thickness":90,"width":56.569}],"notes":[],"panels":[],"quantity":2},{"joints":[{"alternatives":[{"count":1,"fits":true,"hold":0.507,"reach":9.5,"section":"14"},{"count":1,"fits":true,"hold":0.507,"reach":9.5,"section":"10"}],"angle":90,"breadth":19,"cutter":"oversize","depth_stop":76.5,"hold":0.507,"kind":"edge_butt","mark":"B-J1","members":["B2","B1"],"notes":["Cut with the oversize cutter: the standard one''s drive limit of 22 mm would leave a hold of 0.147.","147 mm of the joint is without a key: clamp it while the glue sets, or add another fastening.","The projection of 6 mm comes from trial 2; the catalogue gives 5.98 mm, which is 0.02 mm less."],"projection":6,"quantity":2,"reach":9.5,"run":300,"section":"10","slots":[{"centre":9.5,"depth":76.5,"entry":"back","keys":[38,38],"recess":0.5},{"centre":9.5,"depth":76.5,"entry":"front","keys":[38,38],"recess":0.5}],"snug_projection":5.9},{"alternatives":[{"count":1,"fits":true,"hold":0.507,"reach":9.5,"section":"14"},{"count":1,"fits":true,"hold":0.507,"reach":9.5,"section":"10"}],"angle":90,"breadth":19,"cutter":"oversize","depth_stop":76.5,"hold":0.507,"kind":"edge_butt","mark":"B-J2","members":["B3","B1"],"notes":["Cut with the oversize cutter: the standard one''s drive limit of 22 mm would leave a hold of 0.147.","147 mm of the joint is without a key: clamp it while the glue sets, or add another fastening.","The projection of 6 mm comes from trial 2; the catalogue gives 5.98 mm, which is 0.02 mm less."],"projection":6,"quantity":2,"reach":9.5,"run":300,"section":"10","slots":[{"centre":9.5,"depth":76.5,"entry":"back","keys":[38,38],"recess":0.5},{"centre":9.5,"depth":76.5,"entry":"front","keys":[38,38],"recess":0.5}],"snug_projection":5.9},{"alternatives":[{"count":1,"fits":true,"hold":0.507,"reach":9.5,"section":"14"},{"count":1,"fits":true,"hold":0.507,"reach":9.5,"section":"10"}],"angle":90,"breadth":19,"cutter":"oversize","depth_stop":76.5,"hold":0.507,"kind":"edge_tee","mark":"B-J3","members":["B4","B1"],"notes":["Cut with the oversize cutter: the standard one''s drive limit of 22 mm would leave a hold of 0.147.","147 mm of the joint is without a key: clamp it while the glue sets, or add another fastening.","The projection of 6 mm comes from trial 2; the catalogue gives 5.98 mm, which is 0.02 mm less."],"projection":6,"quantity":2,"reach":9.5,"run":300,"section":"10","slots":[{"centre":9.5,"depth":76.5,"entry":"back","keys":[38,38],"recess":0.5},{"centre":9.5,"depth":76.5,"entry":"front","keys":[38,38],"recess":0.5}],"snug_projection":5.9}],"mark":"B","members":[{"ends":[90,90],"length":720,"mark":"B1","material":null,"name":"side","quantity":2,"thickness":19,"width":300},{"ends":[90,90],"length":562,"mark":"B2","material":null,"name":"top","quantity":1,"thickness":19,"width":300},{"ends":[90,90],"length":562,"mark":"B3","material":null,"name":"bottom","quantity":1,"thickness":19,"width":300},{"ends":[90,90],"length":562,"mark":"B4","material":null,"name":"shelf","quantity":1,"thickness":19,"width":300}],"notes":[],"panels":[],"quantity":1}],"format":"dovetally-takeoff","glue_grams":9.72,"keys":[{"length":38,"section":"10","spare":2,"tests":2,"total":28,"used":24},{"length":38,"section":"14","spare":1,"tests":2,"total":11,"used":8}],"notes":[],"plugs":[],"project":"Bandsaw stand","version":1},"version":1}','d172dfc3bccd494a2ea1afad9c66fb8dea72be963209fb19ae7c809d7fa1fca5');
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
INSERT INTO "revision_document" VALUES(1,'schedule','A4','ed5acd50baed190c486e75045d8c986f6aaff56b07a9c7e281c48020cb960f5f',X'255044462D312E37207363686564756C65203100FF');
INSERT INTO "revision_document" VALUES(1,'labels','Letter','4fc0a8c18aa68960baa573f4d2cef49f9585ed2eceaf853d7b4f942e03edc921',X'255044462D312E37206C6162656C73203100FF');
INSERT INTO "revision_document" VALUES(2,'schedule','A4','71d294ef0dfb72897f1327bc3092074ec7e6b1c13f40a6de7f27115d27ea3cb3',X'255044462D312E37207363686564756C65203200FF');
INSERT INTO "revision_document" VALUES(2,'labels','Letter','c416a1db39fd7c4c0e17f06149002d800636b0c0a321c027c79fe6abb7ad663b',X'255044462D312E37206C6162656C73203200FF');
INSERT INTO "revision_document" VALUES(3,'schedule','A4','c2c05c3d242b900545b6a1f170c43947bf4c1a18d32d28a3d77b9c363a26622b',X'255044462D312E37207363686564756C65203300FF');
INSERT INTO "revision_document" VALUES(3,'labels','Letter','9d2a249232783bbf2f58fcce54397e6c7e886aed1985fb96ac9ee8f8b73014b0',X'255044462D312E37206C6162656C73203300FF');
INSERT INTO "revision_document" VALUES(4,'setups','A4','1328c14ae2bab46387c29113c159c02c8f67aef74e328b1298f600b285a98c13',X'255044462D312E3720736574757073203100FF');
INSERT INTO "revision_document" VALUES(4,'labels','Letter','4fc0a8c18aa68960baa573f4d2cef49f9585ed2eceaf853d7b4f942e03edc921',X'255044462D312E37206C6162656C73203100FF');
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
INSERT INTO "section" VALUES(1,0,'14',11200000,6000000,12000000,13815000,NULL,60000000,14000000,40000000,40000000,1,'round');
INSERT INTO "section" VALUES(2,1,'10',8000000,6000000,12000000,10200000,NULL,60000000,14000000,40000000,40000000,1,'round');
INSERT INTO "section" VALUES(3,2,'18',14400000,7600000,12000000,17800000,18200000,60000000,14000000,40000000,40000000,1,'square');
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
INSERT INTO "section_length" VALUES(1,16000000,12);
INSERT INTO "section_length" VALUES(1,22000000,NULL);
INSERT INTO "section_length" VALUES(1,38000000,NULL);
INSERT INTO "section_length" VALUES(2,16000000,NULL);
INSERT INTO "section_length" VALUES(2,22000000,NULL);
INSERT INTO "section_length" VALUES(2,38000000,NULL);
INSERT INTO "section_length" VALUES(3,16000000,31);
INSERT INTO "section_length" VALUES(3,22000000,NULL);
INSERT INTO "section_length" VALUES(3,38000000,NULL);
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
INSERT INTO "shop" VALUES(1,'','mm','EUR','{"stroke":85}',1,5,NULL);
CREATE TABLE start_ended (
	start_id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_start_ended PRIMARY KEY (start_id), 
	CONSTRAINT fk_start_ended_start_id_accepted_start FOREIGN KEY(start_id) REFERENCES accepted_start (id)
)
 STRICT

;
INSERT INTO "start_ended" VALUES(1,'2026-03-06T08:30:00.000000Z');
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
INSERT INTO "start_trial" VALUES(1,0,1);
INSERT INTO "start_trial" VALUES(2,0,2);
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
INSERT INTO "supplier" VALUES(1,'North','EUR',690,2500,1);
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
INSERT INTO "tick" VALUES(1,'0b9f7d34-0000-4000-8000-000000000001',1,'501ddacb0cc489e1','everything/A-J1/A1/mitred_end/left',1,'2026-03-06T08:30:00.000000Z','2026-03-06T08:30:00.000000Z');
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
INSERT INTO "trial" VALUES(1,'14','close',13815000,'oak',20000000,6100000,16500000,12000000,'loose',200000,NULL,'2026-03-02','2026-03-06T08:30:00.000000Z');
INSERT INTO "trial" VALUES(2,'10','free',10500000,'ash & <standard> elm',24000000,6000000,22500000,14000000,'snug',NULL,NULL,'2026-03-03','2026-03-06T08:30:00.000000Z');
INSERT INTO "trial" VALUES(4,'14','free',14200000,'oak',20000000,7100000,16500000,12000000,'stopped',NULL,4000000,'2026-03-04','2026-03-06T08:30:00.000000Z');
CREATE TABLE trial_withdrawn (
	trial_id INTEGER NOT NULL, 
	why TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_trial_withdrawn PRIMARY KEY (trial_id), 
	CONSTRAINT fk_trial_withdrawn_trial_id_trial FOREIGN KEY(trial_id) REFERENCES trial (id)
)
 STRICT

;
INSERT INTO "trial_withdrawn" VALUES(4,'misread the oversize scale','2026-03-06T08:30:00.000000Z');
CREATE INDEX ix_form_token_at ON form_token (at);
CREATE INDEX ix_offer_supplier_id ON offer (supplier_id);
CREATE INDEX ix_offer_price_offer_id_from_day ON offer_price (offer_id, from_day);
CREATE INDEX ix_order_line_item_id ON order_line (item_id);
CREATE INDEX ix_movement_sums ON movement (item_id, project_id, kind, on_hand, reserved, needed);
CREATE INDEX ix_movement_project_id_item_id ON movement (project_id, item_id);
CREATE INDEX ix_movement_order_line_id_on_hand ON movement (order_line_id, on_hand);
CREATE TRIGGER offer_price_no_update BEFORE UPDATE ON offer_price BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER offer_price_no_delete BEFORE DELETE ON offer_price BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER placed_order_no_update BEFORE UPDATE ON placed_order BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER placed_order_no_delete BEFORE DELETE ON placed_order BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_line_no_update BEFORE UPDATE ON order_line BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_line_no_delete BEFORE DELETE ON order_line BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_project_no_update BEFORE UPDATE ON order_project BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_project_no_delete BEFORE DELETE ON order_project BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_end_no_update BEFORE UPDATE ON order_end BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_end_no_delete BEFORE DELETE ON order_end BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER movement_no_update BEFORE UPDATE ON movement BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER movement_no_delete BEFORE DELETE ON movement BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER placed_order_in_turn BEFORE INSERT ON placed_order WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM placed_order) BEGIN SELECT RAISE(ABORT, 'orders are numbered one after the other'); END;
CREATE TRIGGER movement_on_hand BEFORE INSERT ON movement WHEN NEW.on_hand < 0 AND (SELECT coalesce(sum(on_hand), 0) FROM movement WHERE item_id = NEW.item_id) + NEW.on_hand < 0 BEGIN SELECT RAISE(ABORT, 'on hand cannot go below 0'); END;
CREATE TRIGGER movement_counted BEFORE INSERT ON movement WHEN NEW.counted IS NOT NULL AND (SELECT coalesce(sum(on_hand), 0) FROM movement WHERE item_id = NEW.item_id) + NEW.on_hand <> NEW.counted BEGIN SELECT RAISE(ABORT, 'on hand is what was counted'); END;
CREATE TRIGGER movement_reserved BEFORE INSERT ON movement WHEN NEW.reserved < 0 AND (SELECT coalesce(sum(reserved), 0) FROM movement WHERE item_id = NEW.item_id AND project_id = NEW.project_id) + NEW.reserved < 0 BEGIN SELECT RAISE(ABORT, 'reserved cannot go below 0'); END;
CREATE TRIGGER movement_needed BEFORE INSERT ON movement WHEN NEW.needed < 0 AND (SELECT coalesce(sum(needed), 0) FROM movement WHERE item_id = NEW.item_id AND project_id = NEW.project_id) + NEW.needed < 0 BEGIN SELECT RAISE(ABORT, 'needed cannot go below 0'); END;
CREATE TRIGGER movement_returned BEFORE INSERT ON movement WHEN NEW.kind = 'returned' AND (SELECT coalesce(sum(on_hand), 0) FROM movement WHERE item_id = NEW.item_id AND project_id = NEW.project_id) + NEW.on_hand > 0 BEGIN SELECT RAISE(ABORT, 'no more comes back than was used'); END;
CREATE TRIGGER movement_order_line BEFORE INSERT ON movement WHEN NEW.order_line_id IS NOT NULL AND ((SELECT coalesce(sum(on_hand), 0) FROM movement WHERE order_line_id = NEW.order_line_id) + NEW.on_hand > (SELECT size * packs FROM order_line WHERE id = NEW.order_line_id) OR NEW.item_id <> (SELECT item_id FROM order_line WHERE id = NEW.order_line_id)) BEGIN SELECT RAISE(ABORT, 'no more is received than was ordered'); END;
CREATE INDEX ix_tick_project_id_set_up_piece ON tick (project_id, set_up, piece);
CREATE TRIGGER trial_withdrawn_no_update BEFORE UPDATE ON trial_withdrawn BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER trial_withdrawn_no_delete BEFORE DELETE ON trial_withdrawn BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER start_trial_no_update BEFORE UPDATE ON start_trial BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER start_trial_no_delete BEFORE DELETE ON start_trial BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER start_ended_no_update BEFORE UPDATE ON start_ended BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER start_ended_no_delete BEFORE DELETE ON start_ended BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER tick_no_update BEFORE UPDATE ON tick BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER tick_no_delete BEFORE DELETE ON tick BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER revision_no_update BEFORE UPDATE ON revision BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER revision_no_delete BEFORE DELETE ON revision BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER revision_in_turn BEFORE INSERT ON revision WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM revision WHERE project_id = NEW.project_id) BEGIN SELECT RAISE(ABORT, 'revisions are numbered one after the other'); END;
CREATE TRIGGER revision_document_no_update BEFORE UPDATE ON revision_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER revision_document_no_delete BEFORE DELETE ON revision_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE INDEX ix_trial_section_cutter ON trial (section, cutter);
CREATE TRIGGER trial_no_update BEFORE UPDATE ON trial BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER trial_no_delete BEFORE DELETE ON trial BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER accepted_start_no_update BEFORE UPDATE ON accepted_start BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER accepted_start_no_delete BEFORE DELETE ON accepted_start BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER calibration_no_update BEFORE UPDATE ON calibration BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE TRIGGER calibration_no_delete BEFORE DELETE ON calibration BEGIN SELECT RAISE(ABORT, 'what was written down at the machine stays as it is'); END;
CREATE INDEX ix_quote_project_id ON quote (project_id);
CREATE TRIGGER quote_no_update BEFORE UPDATE ON quote BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER quote_no_delete BEFORE DELETE ON quote BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER quote_document_no_update BEFORE UPDATE ON quote_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER quote_document_no_delete BEFORE DELETE ON quote_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER quote_in_turn BEFORE INSERT ON quote WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM quote) BEGIN SELECT RAISE(ABORT, 'quotes are numbered one after the other'); END;
CREATE INDEX ix_edit_token ON edit (token);
CREATE INDEX ix_past_row_kind_number_until ON past_row (kind, number, until);
CREATE INDEX ix_past_row_since ON past_row (since);
CREATE INDEX ix_past_row_until ON past_row (until);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('assembly',9);
INSERT INTO "sqlite_sequence" VALUES('plug',1);
INSERT INTO "sqlite_sequence" VALUES('supplier',1);
INSERT INTO "sqlite_sequence" VALUES('offer',1);
INSERT INTO "sqlite_sequence" VALUES('offer_price',1);
INSERT INTO "sqlite_sequence" VALUES('placed_order',1);
INSERT INTO "sqlite_sequence" VALUES('order_line',1);
INSERT INTO "sqlite_sequence" VALUES('movement',1);
INSERT INTO "sqlite_sequence" VALUES('tick',1);
INSERT INTO "sqlite_sequence" VALUES('moulding',2);
INSERT INTO "sqlite_sequence" VALUES('section',9);
INSERT INTO "sqlite_sequence" VALUES('revision',4);
INSERT INTO "sqlite_sequence" VALUES('trial',6);
INSERT INTO "sqlite_sequence" VALUES('accepted_start',2);
INSERT INTO "sqlite_sequence" VALUES('calibration',3);
INSERT INTO "sqlite_sequence" VALUES('item',3);
INSERT INTO "sqlite_sequence" VALUES('device',1);
INSERT INTO "sqlite_sequence" VALUES('quote',1);
INSERT INTO "sqlite_sequence" VALUES('project',4);
INSERT INTO "sqlite_sequence" VALUES('photograph',1);
INSERT INTO "sqlite_sequence" VALUES('edit',1);
INSERT INTO "sqlite_sequence" VALUES('past_row',1);
COMMIT;
