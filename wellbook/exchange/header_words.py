"""The words of headers brought to one form: short and foreign ones said in full, slips mended.

So the patterns of `headers` are written once, in plain English. Spanish, French and German stand
here with their commonest words.
"""

from __future__ import annotations

import re
import unicodedata
from difflib import get_close_matches
from functools import lru_cache

_SAID = """
cust=customer customers=customer client=customer clients=customer clnt=customer kunde=customer
cliente=customer owners=owner ownr=owner proprietaire=owner propietario=owner eigentumer=owner
dueno=owner besitzer=owner homeowner=owner landowner=owner
num=number no=number nr=number nbr=number numero=number nummer=number n=number
nom=name nombre=name nachname=last_name familienname=last_name apellido=last_name
apellidos=last_name surname=last_name lastname=last_name lname=last_name prenom=first_name
vorname=first_name firstname=first_name fname=first_name forename=first_name
addr=address adr=address adresse=address direccion=address domicilio=address anschrift=address
add=address strasse=street str=street rue=street calle=street ln=line
ort=town stadt=town gemeinde=town ville=town commune=town ciudad=town municipio=town
localidad=town poblacion=town suburb=town bundesland=region estado=region provincia=region
departement=region departamento=region kanton=region cnty=county
plz=postcode postleitzahl=postcode zipcode=postcode zip=postcode pcode=postcode
phones=phone telephone=phone tel=phone ph=phone phn=phone fon=phone telefon=phone telefono=phone
fono=phone telno=phone_number phoneno=phone_number mobil=mobile movil=mobile celular=mobile
portable=mobile handy=mobile cell=mobile cellphone=mobile cellular=mobile mob=mobile
mail=email mails=email emails=email correo=email courriel=email
dt=date fecha=date datum=date dat=date yr=year ano=year annee=year jahr=year
dpth=depth dep=depth deep=depth profundidad=depth profondeur=depth prof=depth tiefe=depth
lvl=level lev=level nivel=level niveau=level stat=static statique=static estatico=static
wtr=water agua=water eau=water wasser=water wl=water_level dtw=depth_water
swl=static_water_level sl=static_level wspiegel=water_level wasserspiegel=water_level
ruhewasserspiegel=static_water_level ruhewasserstand=static_water_level
td=total_depth pozo=well puits=well forage=well brunnen=well bohrung=well wells=well sondeo=well
brunnentiefe=well_depth bohrtiefe=well_depth bohrdatum=date_drilled baujahr=year_drilled
perforacion=drilled perforado=drilled construccion=constructed drill=drilled forado=drilled
foration=drilled gebohrt=drilled compl=completion comp=completion
caudal=yield rendimiento=yield debit=yield ergiebigkeit=yield forderleistung=yield
diam=diameter dia=diameter diametro=diameter diametre=diameter durchmesser=diameter
csg=casing tubage=casing verrohrung=casing revestimiento=casing
bomba=pump pompe=pump pumpe=pump pmp=pump potencia=power puissance=power leistung=power
einbautiefe=pump_depth kabel=cable cable=cable wires=wire
inst=installed install=installed instl=installed instalacion=installed installation=installed
einbaudatum=installed_date
notas=notes nota=notes observaciones=notes observacion=notes comentarios=notes
remarques=notes commentaires=notes bemerkung=notes bemerkungen=notes notizen=notes note=notes
comment=comments remark=remarks cmts=comments
latitud=latitude breite=latitude breitengrad=latitude longitud=longitude lange=longitude
langengrad=longitude lengengrad=longitude
permiso=permit genehmigung=permit permis=permit
svc=service serv=service servicio=service visita=visit besuch=visit
desc=description descr=description mfr=manufacturer mfg=manufacturer mfgr=manufacturer
tot=total drilling=drilled ref=reference elev=elevation loc=location locn=location
wlh=well_head wellhead=well_head
techs=technician tech=technician tecnico=technician technicien=technician techniker=technician
motivo=reason motif=reason grund=reason
ubicacion=location coords=coordinates coord=coordinates gps=coordinates koordinaten=coordinates
coordenadas=coordinates coordonnees=coordinates latlong=coordinates latlon=coordinates
latlng=coordinates
driller=driller perforador=driller foreur=driller bohrfirma=driller
geocode=coordinates len=length lgth=length matl=material mtl=material mat=material scr=screen
scrn=screen bot=bottom btm=bottom
own=owner applicant=owner nome=name dono=owner proprietario=owner inv=invoice
endereco=address morada=address rua=street
cidade=town localidade=town freguesia=town concelho=town uf=region cep=postcode
telefone=phone telemovel=mobile lieudit=locality furo=well poco=well ouvrage=well codigo=code
cod=code cd=code perfuracao=drilled furacao=drilled conclusao=completion terminacion=completion
profundidade=depth teufe=depth endteufe=total_depth bohrteufe=depth atteinte=reached vazao=yield
gasto=yield observacoes=notes usage=use uso=use nutzung=use zweck=purpose
bohrungsnummer=well_number brunnennummer=well_number bohrnummer=well_number
brunnenname=well_name rohrdurchmesser=casing_diameter ausbaudurchmesser=casing_diameter
ademe=casing entubado=casing encamisado=casing nord=north norte=north ouest=west oeste=west
est=estimated fin=end travaux=work drll=drilled drld=drilled drl=drilled drlr=driller
case=casing cas=casing csng=casing siz=size mea=measured meas=measured constr=construction
perf=perforated depths=depth levels=level instal=installed finish=finished compltd=completed
complete=completed avg=average max=maximum gallons=gal lsd=land_surface_datum
coordonnee=coordinates commentaire=notes fabricant=manufacturer hersteller=manufacturer
marca=manufacturer marque=manufacturer modelo=model modele=model modell=model serie=serial
"""
_MEANS = dict(pair.split("=") for pair in _SAID.split())
_FILLERS = frozenset(
    "of the do da dos das de del la le les el los du des der die das von vom am an et y und and d l en".split()
)
_TOGETHER = (
    # Signs and pairs of words that mean one thing.
    (re.compile(r"\bw\s*/\s*l\b", re.IGNORECASE), " water level "),
    (re.compile(r"\be-?\s?mail(?:s|\b)", re.IGNORECASE), " email "),
    (re.compile(r"\bc[oó]d(?:e|igo) postal\b", re.IGNORECASE), " postcode "),
    (re.compile(r"\b(?:zip|post(?:al)?)[\s_-]*code\b", re.IGNORECASE), " postcode "),
    (
        re.compile(r"\b(?:lat(?:itude)?\W+lon(?:g|gitude)?|lat\W+lng)\b", re.IGNORECASE),
        " coordinates ",
    ),
    (re.compile(r"\bp\.?\s?o\.? box\b", re.IGNORECASE), " po box "),
    (re.compile(r"\bs\s?/\s?n\b", re.IGNORECASE), " serial "),
    (re.compile(r"\by\s?/\s?n\b|(?<![a-z])yn$", re.IGNORECASE), " flag "),
    (re.compile(r"\blieu[\s-]dit\b", re.IGNORECASE), " locality "),
    (re.compile(r"\bdata(?= d[aeo]\b)", re.IGNORECASE), " date "),
    (re.compile(r"(?<=[a-z])['’]s\b", re.IGNORECASE), " "),
    # N of a latitude is north; alone it is short for a number.
    (re.compile(r"\b(lat\w*|gps)[\s_]+\(?n\b", re.IGNORECASE), r"\1 north"),
    (re.compile(r"\b(lon\w*|gps)[\s_]+\(?[wo]\b", re.IGNORECASE), r"\1 west"),
    (re.compile("#|№|n[°º]", re.IGNORECASE), " number "),
    (re.compile("@"), " at "),
    (re.compile("&"), " and "),
    (re.compile(r"(?<=[a-z])(?=[A-Z])"), " "),
    (re.compile(r"(?<=[A-Za-z]{2})(?=\d+$)"), " "),
)
_VOCABULARY = tuple(
    """address customer owner telephone phone mobile email latitude longitude location directions
    coordinates street township county region province district postcode country notes comments
    remarks permit number depth diameter static level water casing screen liner material drilled
    driller completion completed constructed construction installed installation installer measured
    measurement inspected inspection serviced service visited visit technician performed reason
    problem equipment pump setting horsepower yield capacity manufacturer serial model horse power
    wire cable pipe gauge pressure tank volume static elevation first_name last_name access
    description well borehole total finished artesian flowing organisation organization""".split()
)
_PARTS = frozenset(
    {
        *(w for w in _MEANS if len(w) > 2),
        *(w for w in _VOCABULARY if "_" not in w),
        *"""of to by in id no wl td dt ft yr date yield test rate top bottom base set use type code lat
        lon long state name first last work end start report record number log site town city gpm
        hp kw bedrock rock hours size head finished flow drawdown tank volts model land surface below
        ground north south east west status quality sample plug seal grout""".split(),
    }
)
"""Of which a header without anything between its words may be made."""


def folded(text: str) -> str:
    """Text without accents, as ASCII where that can be.

    >>> folded("Straße, Côte")
    'Strasse, Cote'
    """
    parts = unicodedata.normalize("NFKD", text.replace("ß", "ss").replace("³", "3"))
    return "".join(c for c in parts if not unicodedata.combining(c))


@lru_cache(maxsize=4096)
def said_in_full(header: str) -> str:
    """A header in small letters, its words parted by `_`, short and foreign ones said in full.

    >>> said_in_full("Stat. Lvl"), said_in_full("Well #"), said_in_full("Profundidad del pozo (m)")
    ('static_level', 'well_number', 'depth_well_m')
    >>> said_in_full("ownerName2"), said_in_full("W/L"), said_in_full("Pump set @")
    ('owner_name_2', 'water_level', 'pump_set_at')
    """
    text = folded(header)
    for pattern, in_full in _TOGETHER:
        text = pattern.sub(in_full, text)
    words = [w for w in re.split(r"[^a-z0-9^/]+", text.lower()) if w]
    words = [part for w in words for part in _halves(w)]
    told = [_MEANS.get(w, w) for w in words if w not in _FILLERS or len(words) == 1]
    return "_".join(told)


@lru_cache(maxsize=4096)
def parted(name: str) -> str:
    """A name whose words were written without anything between them, with `_` between these.

    Only where nothing is left over: a word of others stays whole.

    >>> parted("totdepth"), parted("yieldgpm"), parted("locaddr"), parted("website")
    ('total_depth', 'yield_gpm', 'location_address', 'website')
    """
    return "_".join(_part(word) for word in name.split("_"))


def _part(word: str) -> str:
    if len(word) < 6 or word in _VOCABULARY:
        return word
    # The fewest words that end at each letter.
    best: list[tuple[str, ...] | None] = [(), *([None] * len(word))]
    for end in range(2, len(word) + 1):
        for start in range(max(0, end - 14), end - 1):
            before, piece = best[start], word[start:end]
            if before is None or piece not in _PARTS:
                continue
            now = best[end]
            if now is None or len(before) + 1 < len(now):
                best[end] = (*before, piece)
    found = best[-1]
    if found is None or len(found) < 2:
        return word
    return "_".join(_MEANS.get(w, w) for w in found if w not in _FILLERS)


def _halves(word: str) -> list[str]:
    """City/town is two words; a unit such as gal/min is one."""
    parts = word.split("/")
    whole = any(
        (len(p) < 3 and p not in ("no", "id"))
        or p in ("gal", "gals", "min", "sec", "day", "lit", "imp")
        for p in parts
    )
    return [word] if whole else parts


@lru_cache(maxsize=4096)
def mended(name: str) -> str:
    """A name with slips of the pen mended, as far as a word of the trade is near.

    >>> mended("street_adress"), mended("lattitude"), mended("weeks")
    ('street_address', 'latitude', 'weeks')
    """
    return "_".join(_mend(word) for word in name.split("_"))


def _mend(word: str) -> str:
    if len(word) < 5 or word in _VOCABULARY:
        return word
    near = get_close_matches(word, _VOCABULARY, n=1, cutoff=0.84)
    return _MEANS.get(near[0], near[0]) if near else word
