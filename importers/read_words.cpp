// The short lists of words: looks, reasons, door results, outcomes, checks, scales.
#include <array>
#include <span>

#include "importers/fold.h"
#include "importers/nearest_name.h"
#include "importers/values.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

/// A word of the ledger and what people write for it ('|' between, lower case without accents, blanks for all punctuation), English and Spanish.
struct Word {
  std::string_view word;
  std::string_view typed;
};

/// Lower case without accents; '_', '-' and other ASCII punctuation as blanks, runs of blanks as one.
std::string plain(std::string_view text) {
  std::string out;
  for (const char c : folded(text)) {
    const bool kept = static_cast<unsigned char>(c) >= 0x80 || isDigit(c) || (c >= 'a' && c <= 'z');
    if (kept) out += c;
    else if (c == '\'') continue;
    else if (!out.empty() && out.back() != ' ') out += ' ';
  }
  if (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

bool listHolds(std::string_view list, std::string_view item) {
  for (std::size_t at = list.find(item); at != std::string_view::npos; at = list.find(item, at + 1)) {
    const std::size_t end = at + item.size();
    if ((at == 0 || list[at - 1] == '|') && (end == list.size() || list[end] == '|')) return true;
  }
  return false;
}

std::optional<std::string_view> match(std::span<const Word> words, std::string_view text) {
  for (const Word& word : words) {
    if (text == word.word) return word.word;  // as the template writes it: no need to tidy
  }
  const std::string typed = plain(text);
  if (typed.empty()) return std::nullopt;
  for (const Word& word : words) {
    if (plain(word.word) == typed || listHolds(word.typed, typed)) return word.word;
  }
  return std::nullopt;
}

/// The word whose own or typed form is nearest to what was typed; "" if none is near (a third of the letters differ).
std::string_view nearestWord(std::span<const Word> words, std::string_view text) {
  const std::string typed = plain(text);
  std::string_view nearest;
  std::size_t least = typed.size() / 3 + 1;
  for (const Word& word : words) {
    std::vector<std::string_view> forms = split(word.typed, '|');
    const std::string own = plain(word.word);
    forms.push_back(own);
    for (const std::string_view form : forms) {
      // A longer remark that begins with a known word means that word most likely.
      const bool begins = form.size() >= 4 && typed.size() > form.size() && std::string_view(typed).starts_with(form) && typed[form.size()] == ' ';
      const std::size_t distance = begins ? 0 : editDistance(form, typed);
      if (distance < least) least = distance, nearest = word.word;
    }
  }
  return nearest;
}

Reading<std::string_view> readWord(std::span<const Word> words, std::string_view text) {
  text = trim(text);
  if (text.empty()) return {};
  if (const auto word = match(words, text)) return {word, {}};
  std::vector<std::string> known;
  for (const Word& word : words) known.emplace_back(word.word);
  const std::string_view nearest = nearestWord(words, text);
  const std::string hint = nearest.empty() ? "" : fmt::format("{} is nearest; ", nearest);
  return {{}, fmt::format("the word is not known here; {}write one of: {}", hint, join(known, ", "))};
}

constexpr auto kLooks = std::to_array<Word>({
    {"knock", "door|knocked|door knock|doorknock|at the door|visit|home visit|house call|knock on door|yard|in person|puerta|en la puerta|toque|tocar|visita|en persona|tocamos la puerta|talked at door"},
    {"street", "street view|from street|from the street|from road|drive by|driveby|drive|walk by|walkby|sidewalk|outside|public ground|seen from street|calle|desde la calle|via publica|de paso en coche|acera|drove by|drove past"},
    {"call", "phone|phone call|called|telephone|text|sms|message|llamada|telefono|por telefono|llamada telefonica|mensaje"},
    {"track", "gps|gps track|track passing|passed on track|recorrido"},
});
constexpr auto kWhyHere = std::to_array<Word>({
    {"planned", "planned round|round|route|plan|canvass|canvassing|systematic|assigned|list|scheduled round|planeado|planeada|planificado|programado|programada|ronda|ruta|recorrido planeado"},
    {"passing", "passing by|passed|in passing|chance|by chance|drive by|happened by|on the way|de paso|pasando|por casualidad|al pasar|drove by"},
    {"caller", "call|caller report|complaint|report|reported|tip|neighbor|neighbour|neighbor called|neighbour called|hotline|referral in|queja|reporte|denuncia|aviso|vecino|vecina|llamada de vecino|aviso de vecino|called in"},
    {"owner_asked", "owner|owner request|owner requested|request|requested|owner called|asked by owner|client request|dueno|duena|el dueno llamo|solicitud|peticion|pedido del dueno|lo pidio el dueno|owner asked us"},
    {"return", "follow up|followup|revisit|return visit|re visit|recheck|service|known client|client|again|due|regreso|seguimiento|visita de seguimiento|revisita|volver|otra vez|cliente conocido"},
});
constexpr auto kStockMoves = std::to_array<Word>({
    {"in", "bought|buy|purchase|purchased|received|donated|donation|delivery|delivered|got|came in|stock in|restock|entrada|compra|comprado|recibido|donacion|donado"},
    {"out", "broken|expired|lost|thrown away|discarded|given away|passed on|returned|waste|stock out|write off|salida|roto|vencido|perdido|caducado|tirado|regalado"},
    {"load", "loaded|to van|onto van|on van|to the van|onto the van|store to van|carga|cargado|a la camioneta"},
    {"unload", "unloaded|from van|off van|back|to store|to the store|van to store|descarga|descargado|a la bodega|al almacen"},
    {"counted", "count|inventory|stocktake|stock take|there now|balance|on hand|conteo|contado|inventario|recuento"},
});
constexpr auto kDoorResults = std::to_array<Word>({
    {"welcomed", "welcome|met|spoke|talked|talked to owner|spoke with owner|owner home|permission|permission given|allowed|accepted|agreed|let in|home|answered|bienvenido|bienvenidos|bienvenida|recibidos|nos recibieron|permitido|permiso|acepto|hablamos con el dueno|en casa|spoke to owner|talked with owner|met owner|owner was home|gave permission"},
    {"declined", "refused|refusal|not interested|no thanks|denied|turned away|declined help|rechazado|rechazo|no quiso|no quieren|no interesado|no gracias|se nego|not now|did not want help|said no"},
    {"asked_not_to_return", "do not return|dont return|do not come back|dont come back|no return|never return|do not visit|asked us not to return|asked to leave|no volver|no regresar|pidio que no volvamos|que no volvamos|no vuelvan|dnr"},
    {"nobody_home", "not home|no answer|nobody|no one home|noone home|nh|no response|away|out|not in|left note|note left|nadie|nadie en casa|no hay nadie|nadie contesto|sin respuesta|no contesta|no estaban|no estan|dejamos nota|nobody answered|no one answered|noone answered|no one there|didnt answer|did not answer|not at home|nobody there"},
    {"no_dog", "no dog here|no dogs|no animals|no dog seen|no pets|no dog found|dog gone|sin perro|sin perros|no hay perro|no hay perros|no tiene perro|no tienen perros|ya no hay perro|no dog there|no dog"},
    {"no_access", "gated|gate locked|locked gate|blocked|no entry|inaccessible|cannot access|could not reach|loose dog|unsafe|sin acceso|cerrado|porton cerrado|reja cerrada|bloqueado|perro suelto|couldnt get in|could not get in|dog loose"},
    {"vacant", "empty|vacant lot|abandoned|vacant house|unoccupied|demolished|empty lot|moved out|vacia|vacio|casa vacia|abandonada|abandonado|desocupada|desocupado|se mudaron"},
});
constexpr auto kOutcomes = std::to_array<Word>({
    {"given_up", "surrendered|surrender|gave up|taken in|relinquished|owner surrender|given up to us|entregado|entregada|cedido|cedida|rendido|lo entregaron|la entregaron|dio al perro"},
    {"improved", "better|improvement|mejor|mejoro|mejorado|mejorada"},
    {"unchanged", "same|no change|as before|no changes|igual|sin cambio|sin cambios|lo mismo"},
    {"worse", "worsened|deteriorated|peor|empeoro|empeorado"},
    {"neutered", "spayed|spay|neuter|fixed|altered|spayed neutered|castrated|sterilised|sterilized|esterilizado|esterilizada|castrado|castrada|operado|operada"},
    {"moved", "moved away|relocated|moved out|gone with owner|se mudo|se mudaron|mudado|mudada|trasladado"},
    {"died", "dead|deceased|passed away|death|found dead|murio|muerto|muerta|fallecio|fallecido|fallecida"},
    {"lost_contact", "lost|no contact|lost touch|cannot find|sin contacto|perdido contacto|contacto perdido|no localizado"},
    {"referred", "referral|reported|referred to authority|case filed|handed over|referido|referida|reportado|denunciado|remitido"},
});
constexpr auto kFollowed = std::to_array<Word>({
    {"veterinarian", "vet|clinic|hospital|veterinario|veterinaria|clinica"},
    {"foster", "fostered|foster home|hogar temporal|acogida|casa de acogida"},
    {"shelter", "kennel|to shelter|refugio|albergue|perrera"},
    {"adopted", "adoption|new home|rehomed|adoptado|adoptada|adopcion"},
    {"returned", "back to owner|returned to owner|devuelto|devuelta"},
    {"euthanised", "euthanized|put to sleep|put down|eutanasia|sacrificado|sacrificada|dormido|dormida"},
});
constexpr auto kSightingWhat = std::to_array<Word>({
    {"dog", "dogs|animal|puppy|puppies|stray|seen|chained dog|tethered dog|dog outside|perro|perros|perra|cachorro|cachorros|perro encadenado|perro amarrado"},
    {"house", "doghouse|dog house|kennel house|shelter|igloo|hut|casa de perro|casita|caseta|perrera"},
    {"pen", "kennel|run|cage|dog run|enclosure|fenced pen|corral|jaula|perrera cerrada|encierro"},
    {"chain", "tether|tie out|tieout|cable|rope|leash|empty chain|cadena|correa|cuerda|lazo|cadena vacia"},
    {"sign", "warning sign|beware of dog|beware of dog sign|notice|letrero|aviso|cartel|cuidado con el perro|perro bravo"},
    {"heard", "bark|barking|heard barking|howling|sound|noise|ladrido|ladridos|ladrando|oido|se oyo|ruido"},
});
constexpr auto kSightingSource = std::to_array<Word>({
    {"crew", "team|us|volunteer|drive by|driver|staff|own|survey|equipo|nosotros|voluntario|voluntaria|personal"},
    {"caller", "call|phone|neighbor|neighbour|hotline|public|report|tip|text|email|walk in|web form|llamada|telefono|vecino|vecina|reporte|aviso|publico|mensaje|correo"},
    {"post", "social media|online|forum|message board|post online|posting|redes sociales|redes|publicacion|en linea"},
});
constexpr auto kChecks = std::to_array<Word>({
    // What can't apply to the animal (a tether where it isn't tied) is met. A bare NA is how software writes a missing value.
    {"met", "m|ok|okay|yes|y|good|fine|pass|passed|adequate|1|true|+|✓|✔|n a|not applicable|does not apply|doesnt apply|si|bien|bueno|buena|cumple|correcto|adecuado|adecuada|no aplica|verdadero"},
    {"unmet", "u|no|n|bad|poor|fail|failed|not met|0|false|✗|✘|inadequate|mal|malo|mala|no cumple|inadecuado|inadecuada|falta|falso|insuficiente"},
    {"not seen", "ns|unseen|not checked|unknown|unk|not known|na|not looked|could not see|hidden|no visto|no vista|no se vio|sin ver|desconocido|no revisado|no se sabe"},
});

}  // namespace

Reading<std::string_view> readLook(std::string_view text) { return readWord(kLooks, text); }
Reading<std::string_view> readWhyHere(std::string_view text) { return readWord(kWhyHere, text); }
Reading<std::string_view> readDoorResult(std::string_view text) { return readWord(kDoorResults, text); }
Reading<std::string_view> readStockMove(std::string_view text) { return readWord(kStockMoves, text); }
Reading<std::string_view> readSightingWhat(std::string_view text) { return readWord(kSightingWhat, text); }
Reading<std::string_view> readSightingSource(std::string_view text) { return readWord(kSightingSource, text); }

Reading<std::string_view> readOutcome(std::string_view text, std::string* followed) {
  text = trim(text);
  const std::size_t mark = text.find_first_of(":,>/(");
  std::string_view after;
  if (mark != std::string_view::npos) after = trim(text.substr(mark + 1)), text = trim(text.substr(0, mark));
  auto outcome = readWord(kOutcomes, text);
  if (outcome.bad() || after.empty()) return outcome;
  if (after.ends_with(')')) after.remove_suffix(1);
  const auto next = readWord(kFollowed, after);
  if (next.bad()) return {{}, "what followed the outcome: " + next.why};
  if (followed != nullptr) *followed = *next.value;
  return outcome;
}

Reading<std::string_view> readCheck(std::string_view text, bool plus_minus) {
  text = trim(text);
  if (text.empty()) return {};
  if (text == "+") return {"met", {}};
  if (text == "-" || text == "–") return {plus_minus ? "unmet" : "not seen", {}};
  if (text == "?") return {"not seen", {}};
  if (text == "x" || text == "X") return {{}, "an x can mean met or unmet; write met, unmet or not seen"};
  return readWord(kChecks, text);
}

Reading<bool> readYesNo(std::string_view text) {
  static constexpr auto kYesNo = std::to_array<Word>({
      {"yes", "y|true|t|1|x|✓|✔|left|given|done|note left|si|s|verdadero|cierto|dejada|dejado|ok|okay|yep|yeah"},
      {"no", "n|false|f|0|none|not|✗|✘|falso|ninguno|ninguna|nop|nope|nada"},
  });
  text = trim(text);
  if (text.empty()) return {};
  if (text == "-") return {false, {}};
  const auto word = match(kYesNo, text);
  if (!word) return {{}, "write yes or no"};
  return {*word == "yes", {}};
}

std::string tidyWord(std::string_view text) {
  static constexpr auto kWords = std::to_array<Word>({
      {"dog", "dogs|canine|k9|puppy|pup|perro|perra|perros|cachorro|cachorra"},
      {"cat", "cats|feline|kitten|gato|gata|gatos|gatito"},
      {"male", "m|boy|macho|masculino"},
      {"female", "f|girl|hembra|femenino"},
      {"yes", "y|altered|spayed|neutered|fixed|true|spayed neutered|castrated|si|castrado|castrada|esterilizado|esterilizada|operado|operada"},
      {"no", "n|intact|unaltered|false|not altered|not fixed|entero|entera|sin castrar|sin esterilizar"},
      {"unknown", "unk|u|not known|unsure|desconocido|desconocida|no se sabe"},
  });
  text = trim(text);
  if (text.empty()) return {};
  if (text == "?") return "unknown";
  if (const auto word = match(kWords, text)) return std::string(*word);
  return lowerAscii(text);
}

const std::vector<BodyScale>& bodyScales() {
  // Common practice, no published source for the first; thin-first scales of five and nine steps are in common use too.
  static const std::vector<BodyScale> scales = {
      {"five_ideal_first", 5, "1 ideal to 5 emaciated"},
      {"five_thin_first", 5, "1 thin to 5 fat"},
      {"nine_thin_first", 9, "1 thin to 9 fat"},
  };
  return scales;
}

Reading<const BodyScale*> readBodyScale(std::string_view text) {
  static constexpr auto kScales = std::to_array<Word>({
      {"five_ideal_first", "1 ideal to 5 emaciated|1 ideal 5 emaciated|ideal first|1 5 ideal first|1 ideal|5 emaciated|five step ideal first"},
      {"five_thin_first", "1 thin to 5 fat|1 thin 5 fat|1 5 thin first|1 emaciated 5 obese|1 thin to 5 obese|5 point thin first|1 5 low thin"},
      {"nine_thin_first", "1 thin to 9 fat|1 thin 9 fat|1 9|9|9 point|nine point|1 to 9|9 step|1 9 thin first|of 9|1 emaciated 9 obese"},
  });
  text = trim(text);
  if (text.empty()) return {};
  const auto word = match(kScales, text);
  if (!word) {
    return {{}, "the body condition scale is not known, or does not say which way it runs; write five_ideal_first (1 ideal to 5 emaciated), "
                "five_thin_first (1 thin to 5 fat) or nine_thin_first (1 thin to 9 fat)"};
  }
  for (const BodyScale& scale : bodyScales()) {
    if (scale.id == *word) return {&scale, {}};
  }
  return {};
}

}  // namespace leeward::importers
