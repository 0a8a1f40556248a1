#include "importers/template_words.h"

#include <algorithm>
#include <array>
#include <span>

#include "importers/fold.h"

namespace leeward::importers {
namespace {

struct Heading {
  std::string_view field, spanish;
};
constexpr auto kSpanish = std::to_array<Heading>({
    {"visit_id", "visita n."}, {"sighting_id", "avistamiento n."}, {"date", "fecha"}, {"time", "hora"}, {"crew", "equipo"}, {"address", "dirección"}, {"place", "localidad"},
    {"postcode", "código postal"}, {"lon", "longitud"}, {"lat", "latitud"}, {"look", "tipo de contacto"}, {"why_here", "motivo"}, {"door_result", "resultado"},
    {"permission_by", "permiso de"}, {"permission_how", "forma del permiso"}, {"permission_for", "permiso para"}, {"permission_until", "permiso hasta"}, {"note_left", "nota dejada"},
    {"dogs_seen", "perros vistos"}, {"dogs_met", "perros atendidos"}, {"dog_name", "nombre del perro"}, {"kind", "especie"}, {"sex", "sexo"}, {"age", "edad"}, {"altered", "esterilizado"},
    {"description", "descripción"}, {"body_condition", "condición corporal"}, {"body_scale", "escala corporal"}, {"area", "terreno"}, {"bedding", "cama"}, {"behaviour", "comportamiento"},
    {"coat", "pelaje"}, {"collar_fit", "ajuste del collar"}, {"collar_kind", "tipo de collar"}, {"ears", "orejas"}, {"eyes", "ojos"}, {"food", "comida"}, {"gums", "encías"},
    {"house", "casa del perro"}, {"nails", "uñas"}, {"parasites", "parásitos"}, {"pen", "corral"}, {"shade", "sombra"}, {"tether", "amarre"}, {"water", "agua"}, {"wound", "heridas"},
    {"done", "hecho"}, {"treatment", "tratamiento"}, {"promised", "prometido"}, {"return_by", "volver antes del"}, {"outcome", "desenlace"}, {"referred_to", "remitido a"}, {"photos", "fotos"},
    {"notes", "notas"}, {"hazard", "peligro"}, {"household", "hogar"}, {"phone", "teléfono"}, {"language", "idioma"}, {"heard_by", "cómo supo"}, {"what", "qué se vio"},
    {"count", "cantidad"}, {"source", "quién avisó"}, {"stock_id", "registro n."}, {"move", "movimiento"}, {"item", "artículo"}, {"quantity", "cuánto"}, {"unit", "unidad"},
    {"van", "camioneta"}, {"lot", "lote"}, {"use_by", "usar antes del"}, {"cost", "costo"},
});

struct Choice {
  std::string_view english, spanish;
};
struct Choices {
  std::string_view field;
  std::span<const Choice> words;
};
constexpr auto kLook = std::to_array<Choice>({{"knock", "puerta"}, {"street", "calle"}, {"call", "llamada"}, {"track", "recorrido"}});
constexpr auto kWhy = std::to_array<Choice>({{"planned", "planeado"}, {"passing", "de paso"}, {"caller", "aviso"}, {"owner_asked", "solicitud"}, {"return", "seguimiento"}});
constexpr auto kResult = std::to_array<Choice>({{"welcomed", "bienvenidos"}, {"declined", "rechazado"}, {"asked_not_to_return", "no volver"}, {"nobody_home", "nadie en casa"}, {"no_dog", "sin perro"},
                                                {"no_access", "sin acceso"}, {"vacant", "casa vacía"}});
constexpr auto kYesNo = std::to_array<Choice>({{"yes", "sí"}, {"no", "no"}});
constexpr auto kAltered = std::to_array<Choice>({{"yes", "sí"}, {"no", "no"}, {"unknown", "desconocido"}});
constexpr auto kKind = std::to_array<Choice>({{"dog", "perro"}, {"cat", "gato"}});
constexpr auto kSex = std::to_array<Choice>({{"male", "macho"}, {"female", "hembra"}});
// The scales keep their names: translated they could be taken for one another.
constexpr auto kScale = std::to_array<Choice>({{"five_ideal_first", "five_ideal_first"}, {"five_thin_first", "five_thin_first"}, {"nine_thin_first", "nine_thin_first"}});
constexpr auto kOutcome = std::to_array<Choice>({{"given_up", "entregado"}, {"given_up: veterinarian", "entregado: veterinario"}, {"given_up: foster", "entregado: hogar temporal"},
                                                 {"given_up: shelter", "entregado: refugio"}, {"neutered", "esterilizado"}, {"moved", "se mudó"}, {"died", "murió"},
                                                 {"lost_contact", "sin contacto"}, {"referred", "remitido"}});
constexpr auto kWhat = std::to_array<Choice>({{"dog", "perro"}, {"house", "caseta"}, {"pen", "corral"}, {"chain", "cadena"}, {"sign", "letrero"}, {"heard", "ladridos"}});
constexpr auto kSource = std::to_array<Choice>({{"crew", "equipo"}, {"caller", "llamada"}, {"post", "publicación"}});
constexpr auto kMove = std::to_array<Choice>({{"in", "entrada"}, {"out", "salida"}, {"load", "carga"}, {"unload", "descarga"}, {"counted", "conteo"}});
constexpr auto kCheck = std::to_array<Choice>({{"met", "cumple"}, {"unmet", "no cumple"}, {"not seen", "no visto"}});
constexpr auto kChoices = std::to_array<Choices>({{"look", kLook}, {"why_here", kWhy}, {"door_result", kResult}, {"note_left", kYesNo}, {"altered", kAltered}, {"kind", kKind}, {"sex", kSex},
                                                  {"body_scale", kScale}, {"outcome", kOutcome}, {"what", kWhat}, {"source", kSource}, {"move", kMove}});

std::vector<std::string> choicesOf(const Field& field, Language language) {
  std::span<const Choice> words;
  if (field.type == FieldType::Check) words = kCheck;
  const auto found = std::ranges::find(kChoices, field.name, &Choices::field);
  if (found != kChoices.end()) words = found->words;
  std::vector<std::string> choices;
  for (const auto& word : words) choices.emplace_back(language == Language::Spanish ? word.spanish : word.english);
  return choices;
}

/// One invented row that shows how cells are written. Its first choice where a cell is chosen.
std::string exampleOf(const Field& field, const std::vector<std::string>& choices, Language language) {
  static constexpr auto kExamples = std::to_array<Choice>({{"visit_id", "example-1"}, {"sighting_id", "example-1"}, {"stock_id", "example-1"}, {"item", "straw"}, {"quantity", "20"}, {"unit", "bale"}, {"date", "2025-03-04"}, {"time", "14:05"}, {"crew", "North"},
                                                           {"address", "100 Elm St"}, {"dogs_seen", "1"}, {"dogs_met", "1"}, {"count", "1"}, {"body_condition", "2"}, {"done", "straw 2; swivel 1"},
                                                           {"treatment", "dewormer|L12|18 kg|2025-06-04"}, {"return_by", "2025-04-01"}});
  if (field.name == "dog_name") return language == Language::Spanish ? "Ejemplo" : "Example";
  if (field.name == "outcome" || field.name.starts_with("left_")) return "";
  if (!choices.empty()) return choices.front();
  const auto found = std::ranges::find(kExamples, field.name, &Choice::english);
  return found == kExamples.end() ? "" : std::string(found->spanish);
}

}  // namespace

std::string spanishHeading(std::string_view field) {
  const bool left = field.starts_with("left_");
  const auto found = std::ranges::find(kSpanish, left ? field.substr(5) : field, &Heading::field);
  if (found == kSpanish.end()) return {};
  return std::string(found->spanish) + (left ? " al irse" : "");
}

std::string spanishSynonyms(std::string_view field) {
  std::string heading = spanishHeading(field);
  std::erase(heading, '.');
  const std::string without = folded(heading);
  return without == heading ? heading : heading + "|" + without;
}

std::vector<TemplateColumn> templateColumns(Kind kind, Language language) {
  std::vector<TemplateColumn> columns;
  if (kind != Kind::Visits && kind != Kind::Sightings && kind != Kind::Stock) return columns;
  for (const auto& field : fields(kind)) {
    if (field.type == FieldType::Setting || field.name == "number" || field.name == "street") continue;
    auto choices = choicesOf(field, language);
    const std::string example = exampleOf(field, choices, language);
    columns.push_back({field.name, language == Language::Spanish ? spanishHeading(field.name) : std::string(field.name), field.type, field.meaning, std::move(choices), example});
  }
  return columns;
}

}  // namespace leeward::importers
