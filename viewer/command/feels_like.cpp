#include <map>
#include <memory>
#include <string>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/feels_like.h"

namespace leeward::command {

void addFeelsLike(CLI::App& app, Terminal& terminal) {
  static const std::map<std::string, study::AirUnit> kAir = {{"F", study::AirUnit::Fahrenheit}, {"C", study::AirUnit::Celsius}};
  static const std::map<std::string, study::WindUnit> kWind = {
      {"mph", study::WindUnit::MilesPerHour}, {"kmh", study::WindUnit::KilometresPerHour}, {"ms", study::WindUnit::MetresPerSecond}};
  auto* verb = app.add_subcommand("feels-like", "Heat index and wind chill by the full algorithm of the US National Weather Service");
  struct Call {
    study::FeelsLikeRequest table;
    std::string unit, wind_unit;
  };
  auto call = std::make_shared<Call>();
  verb->add_option("TABLE", call->table.table.source, "File with rows")->required();
  verb->add_option("--air", call->table.air, "Column with the air temperature")->required()->type_name("COLUMN");
  verb->add_option("--humidity", call->table.humidity, "Column with the relative humidity in per cent: gives the heat index")->type_name("COLUMN");
  auto* wind = verb->add_option("--wind", call->table.wind, "Column with the wind speed (10 m above ground): gives the wind chill")->type_name("COLUMN");
  verb->add_option("--unit", call->unit, "Unit of the air temperature, and of what comes out")->required()->check(CLI::IsMember(&kAir));
  auto* wind_unit = verb->add_option("--wind-unit", call->wind_unit, "Unit of the wind speed")->check(CLI::IsMember(&kWind));
  wind->needs(wind_unit);
  wind_unit->needs(wind);
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal, {.strict = true});
  verb->footer("New columns: heat_index_f or heat_index_c, wind_chill_f or wind_chill_c, in the unit of the air. Empty where they aren't defined: wind chill above 50 F (10 C)\n"
               "or at 3 mph (4.8 km/h) and less. Both were made for people; no value means that it is safe to leave a dog outdoors.");
  verb->callback([call, &terminal] {
    call->table.unit = kAir.at(call->unit);
    if (!call->wind_unit.empty()) call->table.wind_unit = kWind.at(call->wind_unit);
    auto progress = terminal.progress();
    auto found = study::feelsLike(call->table, progress);
    if (!found) return terminal.fail(found.problem());
    terminal.say("Made for people: no value means that it is safe to leave a dog outdoors.");
    terminal.deliver(found->layer, {.refused = std::move(found->refused)});
  });
}

}  // namespace leeward::command
