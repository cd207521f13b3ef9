"""Header spellings of each column kind, in English, Spanish, French, German and Portuguese.

Dictionary words and short forms of the trade (common practice, no source), compared without case or accents.
"""

NUMBER_SPELLINGS = {
    "eid": "eid|rfid|old eid|old rfid|eid no|rfid no"
    "|electronic id|electronic tag|electronic number|electronic|e tag|etag|eid tag|rfid tag"
    "|id electronic|transponder|chip|microchip|lf tag|lfid|hdx|fdx|840|840 tag|840 number|15 digit"
    "|15 digit id|ain|scanned id|identificación electrónica|arete electrónico|caravana electrónica"
    "|id electrónica|dispositivo electrónico|bolo|boucle électronique|puce|puce électronique"
    "|numéro électronique|identifiant électronique|elektronische ohrmarke|elektronische nummer"
    "|transpondernummer|chipnummer|lebensnummer|identificação eletrônica|brinco eletrônico"
    "|identificador eletrónico",
    "vid": "vid|visual|old vid"
    "|visual id|visual tag|visual number|visual ear tag|dangle tag|dangle|management tag"
    "|herd tag|farm tag|flap tag|panel tag|vis id|vis tag|ranch tag|bangle tag|tag id visual|arete visual"
    "|caravana visual|boucle visuelle|numéro de travail|sichtmarke|stallnummer|halsbandnummer|brinco visual"
    "|número de manejo",
    "vid_colour": "tag colour|tag color|vid colour|vid color|colour tag|color tag|ear tag colour"
    "|ear tag color|tag clr|tag col|color arete|color de arete|color caravana|color de caravana"
    "|couleur boucle|couleur de boucle|ohrmarkenfarbe|farbe ohrmarke|cor do brinco|cor brinco",
    "metal": "metal|metal tag|nues|nues tag|nues9|nues8|brite|brite tag|bangs tag|bangs|official id"
    "|official tag|silver tag|usda tag|official metal tag|steel tag|arete metálico|caravana metálica"
    "|boucle métallique|metallmarke|metallohrmarke|brinco metálico|brinco de metal",
    "tattoo": "tattoo|tat|tatto|tatuaje|tatouage|tätowierung|taetowierung|tatuagem",
    "brand": "brand|brand number|hot brand|freeze brand|fierro|marca de fuego|marca a fuego|marquage au fer"
    "|brandzeichen|marca a ferro",
    "back_tag": "back tag|backtag|back tag number|rückenmarke",
    "tube": "tube|tube id|tube no|tube number|sample|sample id|sample no|sample number|sample tube"
    "|vial|vial id|blood tube|blood vial|barcode|specimen|specimen id|dna|dna sample|dna tube"
    "|tissue sample|bvd sample|ear notch|tubo|muestra|número de muestra|código de muestra|échantillon"
    "|numéro échantillon|éprouvette|probe|probennummer|probenröhrchen|röhrchen|amostra|número da amostra",
    "new_eid": "new eid|new rfid|new electronic|new electronic id|new electronic tag|replacement eid"
    "|replacement rfid|eid new|rfid new|nuevo eid|nueva caravana electrónica|nouveau eid"
    "|nouvelle boucle électronique|neue eid|neue elektronische ohrmarke|novo eid",
    "new_vid": "new vid|new visual|new tag|new tag no|new tag number|new ear tag|new id|new number|retag"
    "|retagged|retag to|retagged to|re tag|replacement|replacement tag|replacement vid|replaced by"
    "|replaced with|tag new|vid new|nuevo arete|arete nuevo|nueva caravana|nuevo número|nouvelle boucle"
    "|nouveau numéro|remplacé par|neue ohrmarke|ersatzohrmarke|ersetzt durch|neue nummer|novo brinco"
    "|novo número|substituído por",
    "dam": "dam|dam id|dam tag|dam eid|dam vid|dam no|dam number|mother|mother id|mother tag|mom|mama"
    "|cow id of calf|madre|id madre|mère|numéro mère|mutter|muttertier|mutternummer|mutterkuh|mãe|matriz",
    "sire": "sire|sire id|sire tag|sire eid|sire no|sire number|father|father id|bull|bull id|herd sire"
    "|service sire|padre|id padre|semental|père|numéro père|vater|vatertier|vaternummer|pai|reprodutor",
    "calf": "calf|calf id|calf tag|calf eid|calf vid|calf no|calf number|cria|cría|becerro|ternero|veau"
    "|numéro veau|kalb|kalbnummer|kälbernummer|bezerro|terneiro",
}
FACT_SPELLINGS = {
    "animal_class": "class|animal class|sex|sex class|sex code|type|animal type|stock class|category|gender"
    "|class of cattle|clase|sexo|categoría|tipo|sexe|catégorie|classe|geschlecht|kategorie|tierart"
    "|classe animal|categoria",
    "born": "born|birth|birth date|birthdate|date of birth|dob|date born|birthday|bdate|b date|birth dt"
    "|birth year|calved on|nacimiento|fecha de nacimiento|fecha nacimiento|fecha nac|fec nac|naissance"
    "|date de naissance|date naissance|né le|née le|geboren|geburtsdatum|geburt|geburtstag|geb datum"
    "|nascimento|data de nascimento|data nascimento",
    "breed": "breed|breed code|breed type|raza|race|rasse|raça",
    "coat": "coat|coat colour|coat color|hide|hide colour|hide color|colour|color|clr|pelaje|pelo|robe"
    "|couleur|farbe|fellfarbe|haarfarbe|pelagem|cor|colour of hide",
    "origin": "origin|source|bought from|purchased from|seller|vendor|origen|procedencia|origine|provenance"
    "|herkunft|zukauf von|origem|procedência",
    "group": "group|mob|herd|pen|lot group|management group|contemporary group|pen no|pen number|bunch"
    "|grupo|hato|rodeo|corral|lote de manejo|groupe|troupeau|bande|enclos|gruppe|herde|bucht|rebanho|curral"
    "|mangueira|pen id|group name",
    "location": "location|pasture|paddock|field|place|premises|premise|pin|site|allotment|range|potrero"
    "|ubicación|lugar|parcelle|pâture|lieu|emplacement|weide|standort|koppel|stall|ort|pasto|piquete|local"
    "|localização",
    "status": "status|animal status|herd status|state|disposition|active|inventory status|estado|situación"
    "|statut|état|zustand|bestandsstatus|situação",
    "entered": "entered|date entered|entry date|arrival|arrival date|date in|in date|purchase date"
    "|purchased|date purchased|date bought|bought on|received|date received|fecha de ingreso|fecha ingreso"
    "|fecha de compra|ingreso|date d'entrée|date entrée|date d'achat|date achat|zugang|zugangsdatum"
    "|kaufdatum|data de entrada|data entrada|data de compra",
    "issuer_year": "year letter|tag year|year code|issue year|year of tag|letra del año|lettre d'année"
    "|jahresbuchstabe|ano do brinco",
}
WHEN_SPELLINGS = {
    "date": "date|day|work date|working date|processing date|session date|scan date|scanned on|date scanned"
    "|weigh date|weight date|date weighed|test date|preg date|preg check date|date of check|check date"
    "|treatment date|date treated|vaccination date|sample date|date sampled|collection date|read date"
    "|record date|event date|result date|date of result|report date|date reported|reported|date tested|tested on"
    "|date of test|fecha|día|fecha de pesaje|jour|date de pesée|date du contrôle|datum"
    "|tag der wiegung|wiegedatum|untersuchungsdatum|data|dia|data da pesagem",
    "time": "time|time of day|scan time|read time|clock|weigh time|hour|hora|heure|uhrzeit|zeit|horário",
    "date_time": "date time|datetime|timestamp|time stamp|date and time|scanned at|date scanned at|read at"
    "|recorded at|scan date time|fecha y hora|fecha hora|date et heure|date heure|horodatage|zeitstempel"
    "|datum uhrzeit|datum und uhrzeit|datum zeit|data e hora|data hora",
}
EVENT_SPELLINGS = {
    "weight": "weight|wt|wgt|live weight|liveweight|lw|lwt|body weight|bodyweight|bw|scale weight|scale wt"
    "|gross weight|kg|lb|lbs|pounds|kilos|mass|weight today|current weight|new weight|birth weight|birth wt"
    "|birthweight|bwt|weaning weight|weaning wt|wean weight|wean wt|ww|wwt|yearling weight|yearling wt|yw"
    "|ywt|sale weight|sale wt|ship weight|ship wt|shipping weight|pay weight|peso|peso vivo|peso al nacer"
    "|peso al nacimiento|peso nacimiento|peso al destete|peso destete|peso al año|peso de venta|peso venta"
    "|poids|poids vif|poids naissance|poids de naissance|poids à la naissance|poids sevrage"
    "|poids au sevrage|poids de vente|pesée|gewicht|lebendgewicht|geburtsgewicht|absetzgewicht"
    "|jährlingsgewicht|verkaufsgewicht|wiegung|peso ao nascer|peso ao nascimento|peso à desmama"
    "|peso ao desmame|peso desmama|peso ao sobreano|peso de venda",
    "weight_unit": "unit|units|uom|weight unit|weight units|wt unit|unit of weight|unidad|unité|einheit"
    "|gewichtseinheit|unidade",
    "pregnancy": "pregnancy|preg|preg check|preg result|pregnancy result|pregnancy status|preg status"
    "|preg test|pregnant|pregnancy check|palpation|ultrasound|bred|open bred|bred open|pd|preg call"
    "|vet call|pregnancy test|preñez|preñada|gestación|diagnóstico de gestación|tacto|gestation|gestante"
    "|diagnostic de gestation|constat de gestation|trächtigkeit|trächtig|trächtigkeitsuntersuchung|tragend"
    "|prenhez|prenhe|gestação|diagnóstico de prenhez",
    "days_bred": "days bred|days|days pregnant|days of pregnancy|days preg|dpc|days carried|gestation days"
    "|days in calf|fetal age|foetal age|días de gestación|días preñez|días de preñez|jours de gestation"
    "|tage tragend|trächtigkeitstage|dias de gestação|dias de prenhez|stage days",
    "body_condition": "body condition|body condition score|bcs|condition score|cs|score bcs"
    "|condición corporal|cc|note d'état corporel|nec|körperkondition|konditionsnote|escore corporal"
    "|condição corporal|ecc",
    "hip_height": "hip height|hip ht|hip hgt|hip measurement|height|ht|hgt|frame height|altura|altura de cadera"
    "|altura a la cadera|hauteur|hauteur aux hanches|hauteur à la hanche|kreuzhöhe|kreuzbeinhöhe|hüfthöhe"
    "|altura da garupa|altura de garupa",
    "scrotal": "scrotal circumference|scrotal|scrotal circ|scrotal measurement|scrotal size|scrotum|sc"
    "|circunferencia escrotal|ce|circonférence scrotale|hodenumfang|skrotalumfang|perímetro escrotal"
    "|circunferência escrotal",
    "product": "product|treatment|treated with|drug|medicine|medication|product used|treatment given|meds"
    "|rx|dewormer|wormer|antibiotic|pour on|producto|tratamiento|medicamento|produit|traitement|médicament"
    "|produkt|mittel|behandlung|medikament|arzneimittel|produto|tratamento",
    "vaccine": "vaccine|vaccination|vaccinated|vacc|vax|vac|shots|shot|vaccine given|vacuna|vacunación"
    "|vaccin|impfung|impfstoff|geimpft|vacina|vacinação",
    "result": "result|results|test result|lab result|outcome|resultado|resultado de laboratorio|résultat"
    "|résultat labo|ergebnis|befund|laborbefund|testergebnis|resultado do exame|bvd|bvd pi|bvd result"
    "|bvd pi result|johnes|johnes result|tb|tb result|tb test|tb test result|brucellosis|brucellosis result"
    "|trich|trich result|anaplasmosis result",
    "sale": "sale|sold|sale date|date sold|sold on|sold date|date of sale|venta|vendido|fecha de venta"
    "|fecha venta|vente|vendu|date de vente|date vente|verkauf|verkauft|verkaufsdatum|abgang verkauf|venda"
    "|data de venda|data venda",
    "death": "death|dead|died|death date|date of death|date died|died on|cause of death|death cause"
    "|death reason|mortality|deceased|muerte|muerto|fecha de muerte|causa de muerte|mort|décès|date de mort"
    "|cause de mort|tod|verendet|todesdatum|todesursache|morte|data da morte|causa da morte",
    "castration": "castration|castrated|castrate|cut|banded|steered|castración|castrado|castré|kastration"
    "|kastriert|castração|castration date|date castrated",
    "weaning": "weaning|weaned|wean|weaning date|wean date|date weaned|destete|destetado|fecha de destete"
    "|sevrage|sevré|date de sevrage|absetzen|abgesetzt|absetzdatum|desmame|desmama|desmamado"
    "|data de desmama",
    "note": "note|notes|comment|comments|remark|remarks|memo|observation|observations|obs|notas|comentario"
    "|comentarios|observaciones|observación|remarque|remarques|commentaire|commentaires|bemerkung"
    "|bemerkungen|notiz|notizen|anmerkung|kommentar|observação|observações|comentário|nota",
}
DETAIL_SPELLINGS = {
    "dose": "dose|dosage|dose ml|dose cc|ml|cc|amount given|volume|dosis|dosierung|quantité administrée|menge",
    "lot": "lot|lot no|lot number|serial|serial no|serial number|batch|batch no|batch number|lote"
    "|número de lote|numéro de lot|charge|chargennummer|charge nr|ch b",
    "expiry": "expiry|expiry date|expiration|expiration date|exp date|exp|expires|use by|best before|caducidad"
    "|fecha de caducidad|vencimiento|date de péremption|péremption|verfallsdatum|verwendbar bis|validade",
    "route": "route|route of administration|admin route|method of administration|given how|vía"
    "|vía de administración|voie|voie d'administration|verabreichung|applikation|via|via de administração",
    "withdrawal_days": "withdrawal|withdrawal days|withdrawal period|meat withdrawal|wd|wd days|withhold"
    "|withholding|withholding period|slaughter withdrawal|whp|retiro|días de retiro|período de retiro"
    "|délai d'attente|temps d'attente|wartezeit|wartezeit tage|carência|dias de carência",
    "given_by": "given by|administered by|treated by|vaccinated by|operator|crew|technician|initials|by|who"
    "|administrado por|aplicado por|administré par|donné par|verabreicht von|behandelt von",
    "condition": "condition|disease|diagnosis|reason treated|illness|sickness|ailment|reason for treatment"
    "|condition treated|symptom|symptoms|enfermedad|diagnóstico|maladie|diagnostic|krankheit|diagnose"
    "|doença",
    "test": "test|test type|test name|assay|analysis|prueba|análisis|examen|analyse|untersuchung|teste|exame|análise",
    "result_value": "measured value|numeric result|result value|value of result|od|od value|s p|s p ratio|sp ratio"
    "|s n ratio|sn ratio|titer|titre|ct|ct value|percent inhibition|measurement|valor medido|valeur mesurée|messwert",
    "value_unit": "result unit|result units|unit of result|unit of the result|unit of value|unidad del resultado"
    "|unité du résultat|einheit des ergebnisses|unidade do resultado",
    "laboratory": "laboratory|lab|lab name|testing laboratory|testing lab|laboratorio|laboratoire|labor|laboratório",
    "tissue": "tissue|tissue type|sample type|specimen type|matrix|tejido|tipo de muestra|tissu"
    "|type d'échantillon|gewebe|probenart|tecido|tipo de amostra",
    "buyer": "buyer|sold to|purchaser|customer|consignee|comprador|vendido a|acheteur|vendu à|käufer"
    "|verkauft an|vendido para",
    "price": "price|sale price|amount|value|dollars|price per head|precio|precio de venta|prix"
    "|prix de vente|preis|verkaufspreis|preço|preço de venda|valor",
}
UNUSED_SPELLINGS = {
    "row_number": "row|row no|row number|row id|rec|rec no|record|record no|record number|record id|seq"
    "|seq no|sequence|line|line no|line number|index|idx|counter|count|order|chute order|position|fila"
    "|renglón|orden|ligne|ordre|zeile|zeilennummer|lfd|lfd nr|laufende nummer|reihenfolge|linha|ordem|item",
    "unused": "adg|gain|daily gain|average daily gain|total gain|age|age days|age months|days of age|frame"
    "|frame score|temp|temperature|session|session name|session id|latitude"
    "|longitude|lat|lon|gps|device|device id|reader|reader id|battery|due|due date|calving due"
    "|expected calving|calving date|last calved|last calving|calved|last calving date|service date"
    "|bred date|breeding date|date bred|ai date|last service|previous weight|prev weight|prev wt"
    "|last weight|last wt|prior weight|prior wt|target weight|adj weight|adjusted weight|adj 205|adj 205 wt"
    "|adj weaning weight|adjusted weaning weight|adjusted 205 day weight|adj 365 wt"
    "|adjusted yearling weight|avg weight|average weight|total weight|weight gain|last date|last weigh date"
    "|previous date|rank|ratio|withdrawal date|clear date|withdrawal end|withdrawal until|slaughter date"
    "|photo|picture|ganancia|ganancia diaria|edad|gmq|gain moyen|âge|tageszunahme|zunahme|alter|ganho"
    "|ganho de peso|idade|fecha probable de parto|kalbedatum|abkalbung|peso anterior|poids précédent"
    "|letztes gewicht|head|head count|quantity|qty|name|registration|reg no|epd",
}
SPELLINGS = NUMBER_SPELLINGS | WHEN_SPELLINGS | FACT_SPELLINGS | EVENT_SPELLINGS | DETAIL_SPELLINGS | UNUSED_SPELLINGS

TAG_WORDS = (
    "tag|tags|tag no|tag number|tag id|ear tag|eartag|ear tag no|ear tag number|ear tag id|old tag"
    "|old tag number|current tag|tag as read|arete|número de arete|caravana|número de caravana|crotal"
    "|boucle|numéro de boucle|marque auriculaire|ohrmarke|ohrmarkennummer|ohrmarken nr|brinco"
    "|número do brinco|cow tag|cow tag no|animal tag|tag read"
)
ANIMAL_WORDS = (
    "id|animal|animal id|animal no|animal number|animal code|ident|identification|identity|identifier|cow"
    "|cow id|cow no|cow number|heifer|heifer id|steer|id no|id number|official number|identificación"
    "|identificador|número de animal|id animal|vaca|numéro animal|numéro d'animal|identifiant|vache"
    "|numéro vache|tier|tiernummer|tier nr|kuh|kuhnummer|identificação|número do animal|cattle|scan|scanned"
)
COUNT_WORDS = "no|nr|n|number|num|#|numero|número|numéro|nummer|núm"
