#pragma once
/// Promises that are an appointment of the animal's: somebody has to bring it there on that day.
#include <optional>
#include <string_view>

namespace leeward::analysis {

enum class Brings { NotSaid, Team, Owner };

struct Appointment {
  bool to_neuter = false;
  Brings brings = Brings::NotSaid;  ///< who brings the animal
};

/// Reads a promise as typed, in English or Spanish. An appointment is named as one (appointment, clinic, surgery, cita …), or it is neutering for
/// which the animal is brought or fetched. One that is yet to be arranged or talked about is none: it is a promise like others. Who brings it: the
/// team (van, we, pick up, transport; or the people have no car), or its own people; where both are named or neither, it isn't said.
/// The words are common practice, no published source.
std::optional<Appointment> appointmentIn(std::string_view promised);

}  // namespace leeward::analysis
